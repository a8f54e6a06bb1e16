//! Work done on all processors and taken in order.

use std::collections::BTreeMap;
use std::ops::{ControlFlow, Range};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};

use crate::error::Result;

/// Results that may wait, for each thread, until the slowest before them is done. Some circuits take a
/// hundred times as long as others; results are small.
const AHEAD: u64 = 512;

/// Makes every number's result on all processors and takes the results one after the other, in the
/// order of the numbers.
///
/// A thread that is free begins the next number: none waits for a block to end. Memory is bounded, for
/// nothing is begun too far ahead of what is taken. When `take` breaks off, what was begun is finished
/// and thrown away; what was taken is always a beginning of the whole.
///
/// # Errors
/// The error of the first number, in order, that failed; those before it were taken.
pub(super) fn in_order<T: Send>(
    numbers: Range<u64>,
    make: impl Fn(u64) -> Result<T> + Sync,
    take: impl FnMut(u64, T) -> Result<ControlFlow<()>> + Send,
) -> Result<()> {
    let ahead = AHEAD * rayon::current_num_threads() as u64;
    let queue = Queue {
        line: Mutex::new(Line {
            begin: numbers.start,
            taken: numbers.start,
            waiting: BTreeMap::new(),
            take,
            end: None,
        }),
        moved: Condvar::new(),
        stop: numbers.end,
        ahead,
    };
    rayon::broadcast(|_| queue.work(&make));
    let line = queue.line.into_inner().unwrap_or_else(PoisonError::into_inner);
    line.end.unwrap_or(Ok(()))
}

/// What the threads share.
struct Queue<T, F> {
    line: Mutex<Line<T, F>>,
    /// Something was taken, or the work has ended.
    moved: Condvar,
    stop: u64,
    ahead: u64,
}

struct Line<T, F> {
    /// The next number to begin.
    begin: u64,
    /// The next number to take.
    taken: u64,
    /// Results that came before their turn.
    waiting: BTreeMap<u64, Result<T>>,
    take: F,
    /// How the work ended before its time.
    end: Option<Result<()>>,
}

impl<T, F: FnMut(u64, T) -> Result<ControlFlow<()>>> Queue<T, F> {
    /// One thread's share.
    fn work(&self, make: impl Fn(u64) -> Result<T>) {
        let whole = EndsAll(self);
        while let Some(number) = self.next() {
            let made = make(number);
            self.lock().accept(number, made);
            self.moved.notify_all();
        }
        std::mem::forget(whole);
    }

    /// The number to begin with now; waits while the oldest one is too far behind.
    fn next(&self) -> Option<u64> {
        let mut line = self.lock();
        loop {
            if line.end.is_some() || line.begin == self.stop {
                return None;
            }
            if line.begin < line.taken.saturating_add(self.ahead) {
                line.begin += 1;
                return Some(line.begin - 1);
            }
            line = self.moved.wait(line).unwrap_or_else(PoisonError::into_inner);
        }
    }

    fn lock(&self) -> MutexGuard<'_, Line<T, F>> {
        self.line.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl<T, F: FnMut(u64, T) -> Result<ControlFlow<()>>> Line<T, F> {
    /// Puts a result in line and takes those whose turn has come.
    fn accept(&mut self, number: u64, made: Result<T>) {
        self.waiting.insert(number, made);
        while self.end.is_none()
            && let Some(next) = self.waiting.remove(&self.taken)
        {
            match next.and_then(|result| (self.take)(self.taken, result)) {
                Ok(ControlFlow::Continue(())) => self.taken += 1,
                Ok(ControlFlow::Break(())) => self.end = Some(Ok(())),
                Err(error) => self.end = Some(Err(error)),
            }
        }
    }
}

/// Lets no thread wait for one that panicked.
struct EndsAll<'a, T, F: FnMut(u64, T) -> Result<ControlFlow<()>>>(&'a Queue<T, F>);

impl<T, F: FnMut(u64, T) -> Result<ControlFlow<()>>> Drop for EndsAll<'_, T, F> {
    fn drop(&mut self) {
        self.0.lock().end.get_or_insert(Ok(()));
        self.0.moved.notify_all();
    }
}
