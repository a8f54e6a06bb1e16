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
    /// Places of bodies that are coming in.
    pub(super) bodies: Semaphore,
    pub(super) captures: Semaphore,
    pub(super) estimates: Estimates,
    /// The logbook visits are kept in; held while one entry is written after looking what is there.
    pub(super) logbook: Option<Mutex<PathBuf>>,
    benches: Mutex<Vec<(Opening, Arc<Bench>)>>,
    pub(super) guard: Guard,
    pub(super) limits: Limits,
    /// True once the server is asked to stop.
    pub(super) stopping: watch::Receiver<bool>,
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
            bodies: Semaphore::new(options.limits.bodies),
            captures: Semaphore::new(options.limits.captures),
            estimates: Estimates::new(&options.limits),
            logbook: options.logbook.clone().map(Mutex::new),
            benches: Mutex::default(),
            guard,
            limits: options.limits.clone(),
            stopping,
        }
    }

    /// A visit that goes on; what it is judged against is solved once and kept for the last few visits.
    pub(super) fn resumed(&self, logbook: Logbook, number: u64) -> Result<Run<Logbook>> {
        self.run(|known| Run::resume_knowing(logbook, number, known))
    }

    /// The same for a visit that is only looked at, open or closed.
    pub(super) fn reviewed(&self, logbook: Logbook, number: u64) -> Result<Run<Logbook>> {
        self.run(|known| Run::review_knowing(logbook, number, known))
    }

    fn run(
        &self,
        take: impl FnOnce(&[(Opening, Arc<Bench>)]) -> Result<Run<Logbook>>,
    ) -> Result<Run<Logbook>> {
        const KEPT: usize = 4;
        let known = self.benches.lock().expect("nothing panics while it is held").clone();
        let run = take(&known)?;
        let opening = run.visit().opening();
        if known.iter().all(|(known, _)| known != opening) {
            let mut benches = self.benches.lock().expect("nothing panics while it is held");
            benches.insert(0, (opening.clone(), run.shared_bench()));
            benches.truncate(KEPT);
        }
        Ok(run)
    }

    /// A solver that has seen nothing: the answer is then the command line's to the last bit, whatever was asked
    /// before and by whom, and a start from a neighbour would save next to nothing of a fraction of a millisecond.
    pub(super) fn solver(description: &Arc<Description>) -> SituationSolver {
        SituationSolver::new(Arc::clone(description))
    }
}
