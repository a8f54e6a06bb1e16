use std::path::PathBuf;
use std::sync::{Arc, Mutex};

use tokio::sync::{Semaphore, watch};

use crate::description::Description;
use crate::error::Result;
use crate::logbook::Logbook;
use crate::procedure::entry::Opening;
use crate::procedure::{Bench, Run};
use crate::situation::SituationSolver;

use super::client_queue::ClientQueue;
use super::desk::Desk;
use super::estimates::Estimates;
use super::guard::Guard;
use super::{Limits, PageOptions};

/// What every request sees.
#[derive(Debug)]
pub(super) struct Shared {
    pub(super) description: Arc<Description>,
    /// Whether the description is the embedded example.
    pub(super) is_example: bool,
    pub(super) desk: Desk,
    pub(super) clients: ClientQueue,
    pub(super) captures: Semaphore,
    pub(super) estimates: Estimates,
    /// The logbook visits are kept in; held while one entry is written after looking what is there.
    pub(super) logbook: Option<Mutex<PathBuf>>,
    benches: Mutex<Vec<(Opening, Arc<Bench>)>>,
    pub(super) guard: Guard,
    pub(super) limits: Limits,
    /// True once the server is asked to stop.
    pub(super) stopping: watch::Receiver<bool>,
    solvers: Mutex<Vec<SituationSolver>>,
    /// The descriptions last sent, each with the solvers that know it.
    sent: Mutex<Vec<KnownSent>>,
}

/// A description that was sent, and the solvers that know it.
#[derive(Debug)]
struct KnownSent {
    text: String,
    description: Arc<Description>,
    solvers: Vec<SituationSolver>,
}

impl Shared {
    pub(super) fn new(
        options: &PageOptions,
        guard: Guard,
        stopping: watch::Receiver<bool>,
    ) -> Self {
        Self {
            description: Arc::clone(&options.description),
            is_example: options.is_example,
            desk: Desk::new(&options.limits),
            clients: ClientQueue::default(),
            captures: Semaphore::new(options.limits.captures),
            estimates: Estimates::new(&options.limits),
            logbook: options.logbook.clone().map(Mutex::new),
            benches: Mutex::default(),
            guard,
            limits: options.limits.clone(),
            stopping,
            solvers: Mutex::new(Vec::new()),
            sent: Mutex::default(),
        }
    }

    /// A visit that goes on; what it is judged against is solved once and kept for the last few visits.
    pub(super) fn resumed(&self, logbook: Logbook, number: u64) -> Result<Run<Logbook>> {
        const KEPT: usize = 4;
        let known = self.benches.lock().expect("nothing panics while it is held").clone();
        let run = Run::resume_knowing(logbook, number, &known)?;
        let opening = run.visit().opening();
        if known.iter().all(|(known, _)| known != opening) {
            let mut benches = self.benches.lock().expect("nothing panics while it is held");
            benches.insert(0, (opening.clone(), run.shared_bench()));
            benches.truncate(KEPT);
        }
        Ok(run)
    }

    /// Works with a solver of the server's description that knows its last solutions.
    pub(super) fn with_solver<T>(&self, work: impl FnOnce(&mut SituationSolver) -> T) -> T {
        let kept = self.solvers.lock().expect("nothing panics while it is held").pop();
        let mut solver =
            kept.unwrap_or_else(|| SituationSolver::new(Arc::clone(&self.description)));
        let answer = work(&mut solver);
        // As many as ever worked at once: a worker takes one and gives it back.
        self.solvers.lock().expect("nothing panics while it is held").push(solver);
        answer
    }

    /// The same for a description that was sent; the last few are kept, so that a slider stays quick.
    pub(super) fn with_solver_of<T>(
        &self,
        text: &str,
        description: &Arc<Description>,
        work: impl FnOnce(&mut SituationSolver) -> T,
    ) -> T {
        const KEPT: usize = 4;
        let lock = || self.sent.lock().expect("nothing panics while it is held");
        let kept = lock()
            .iter_mut()
            .find(|known| known.text == text)
            .and_then(|known| known.solvers.pop());
        let mut solver = kept.unwrap_or_else(|| SituationSolver::new(Arc::clone(description)));
        let answer = work(&mut solver);
        let mut all = lock();
        match all.iter_mut().find(|known| known.text == text) {
            Some(known) => known.solvers.push(solver),
            None => {
                let description = Arc::clone(description);
                all.insert(
                    0,
                    KnownSent { text: text.to_owned(), description, solvers: vec![solver] },
                );
                all.truncate(KEPT);
            }
        }
        answer
    }

    /// The description of a text that was sent lately, parsed already.
    pub(super) fn lately_sent(&self, text: &str) -> Option<Arc<Description>> {
        let all = self.sent.lock().expect("nothing panics while it is held");
        all.iter().find(|known| known.text == text).map(|known| Arc::clone(&known.description))
    }
}
