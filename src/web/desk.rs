use std::sync::Arc;

use tokio::sync::{OwnedSemaphorePermit, Semaphore};

use super::Limits;
use super::client_queue::Turn;
use super::problem::Problem;

/// Where requests wait for one of a few workers: the queue is bounded, and so is every answer's time.
#[derive(Debug)]
pub(super) struct Desk {
    workers: Arc<Semaphore>,
    places: Arc<Semaphore>,
    limits: Limits,
}

impl Desk {
    pub(super) fn new(limits: &Limits) -> Self {
        let all = limits.workers.saturating_add(limits.queue);
        Self {
            workers: Arc::new(Semaphore::new(limits.workers)),
            places: Arc::new(Semaphore::new(all)),
            limits: limits.clone(),
        }
    }

    /// Does the work on a thread of its own once a worker is free.
    ///
    /// A client that goes away gives up its place; work that has begun is finished, and holds its worker so long.
    pub(super) async fn work<T: Send + 'static>(
        &self,
        turn: Option<Turn>,
        work: impl FnOnce() -> Result<T, Problem> + Send + 'static,
    ) -> Result<T, Problem> {
        let place = Arc::clone(&self.places).try_acquire_owned().map_err(|_| Self::busy())?;
        let answered = async {
            let worker = self.worker(turn).await?;
            let work = move || {
                let answer = work();
                drop((worker, place));
                answer
            };
            tokio::task::spawn_blocking(work).await.unwrap_or_else(|_| {
                Err(Problem::new("internal", "the computation ended without an answer"))
            })
        };
        tokio::time::timeout(self.limits.answer_time, answered).await.unwrap_or_else(|_| {
            let most_s = self.limits.answer_time.as_secs();
            Err(Problem::new("took-too-long", format!("no answer within {most_s} s")))
        })
    }

    async fn worker(&self, turn: Option<Turn>) -> Result<OwnedSemaphorePermit, Problem> {
        let free = Arc::clone(&self.workers).acquire_owned();
        let free = match turn {
            None => free.await,
            Some(mut turn) => tokio::select! {
                biased;
                () = turn.overtaken_later() => return Err(Turn::overtaken()),
                free = free => free,
            },
        };
        free.map_err(|_| Problem::new("stopping", "the server is about to end"))
    }

    /// What is answered when every place is taken.
    pub(super) fn busy() -> Problem {
        Problem::new("busy", "every place in the queue is taken")
    }
}
