use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};

use schemars::JsonSchema;
use serde::Serialize;
use tokio::sync::{Semaphore, watch};

use crate::study::Progress;

use super::problem::Problem;
use super::{Limits, desk::Desk};

/// The estimates of a server: one runs at a time, for it takes every processor; the others wait.
#[derive(Debug)]
pub(super) struct Estimates {
    kept: Mutex<Kept>,
    most: usize,
    pub(super) turn: Arc<Semaphore>,
}

#[derive(Debug, Default)]
struct Kept {
    newest: u64,
    all: BTreeMap<u64, Arc<Estimate>>,
}

/// One estimate, waiting, running or over.
#[derive(Debug)]
pub(super) struct Estimate {
    pub(super) number: u64,
    is_cancelled: AtomicBool,
    state: watch::Sender<EstimateState>,
}

/// How far an estimate is.
#[derive(Clone, Debug)]
pub(super) enum EstimateState {
    Waiting,
    Running { done: u64, total: u64 },
    Done(Arc<str>),
    Failed(Box<Problem>),
    Cancelled,
}

/// How far an estimate is, as it is told.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub(super) struct EstimateStatus {
    /// Its number.
    number: u64,
    /// `waiting`, `running`, `done`, `failed` or `cancelled`.
    state: &'static str,
    /// Circuits solved.
    done: Option<u64>,
    /// Circuits in all.
    total: Option<u64>,
    /// Where the result is found once it is done.
    result: String,
    /// Where its progress is told as it happens.
    events: String,
}

impl Estimates {
    pub(super) fn new(limits: &Limits) -> Self {
        Self { kept: Mutex::default(), most: limits.estimates, turn: Arc::new(Semaphore::new(1)) }
    }

    /// A place for one more; the oldest that is over makes room.
    pub(super) fn begin(&self) -> Result<Arc<Estimate>, Problem> {
        let mut kept = self.kept.lock().expect("nothing panics while it is held");
        if kept.all.len() >= self.most {
            let over = kept.all.iter().find(|(_, estimate)| estimate.state().is_over());
            let oldest = over.map(|(number, _)| *number).ok_or_else(Desk::busy)?;
            kept.all.remove(&oldest);
        }
        kept.newest = kept.newest.saturating_add(1);
        let estimate = Arc::new(Estimate {
            number: kept.newest,
            is_cancelled: AtomicBool::new(false),
            state: watch::channel(EstimateState::Waiting).0,
        });
        kept.all.insert(estimate.number, Arc::clone(&estimate));
        Ok(estimate)
    }

    pub(super) fn find(&self, number: &str) -> Result<Arc<Estimate>, Problem> {
        let kept = self.kept.lock().expect("nothing panics while it is held");
        let found = number.parse().ok().and_then(|number: u64| kept.all.get(&number));
        found.cloned().ok_or_else(|| {
            Problem::new("not-found", "there is no such estimate")
                .with_hint("the oldest make room for new ones; begin it again")
        })
    }
}

impl Estimate {
    pub(super) fn state(&self) -> EstimateState {
        self.state.borrow().clone()
    }

    pub(super) fn states(&self) -> watch::Receiver<EstimateState> {
        self.state.subscribe()
    }

    /// Ends it after the present circuit; one that is over stays as it is.
    pub(super) fn cancel(&self) {
        self.is_cancelled.store(true, Ordering::SeqCst);
        self.state.send_if_modified(|state| {
            let is_waiting = matches!(state, EstimateState::Waiting);
            if is_waiting {
                *state = EstimateState::Cancelled;
            }
            is_waiting
        });
    }

    pub(super) fn is_cancelled(&self) -> bool {
        self.is_cancelled.load(Ordering::SeqCst)
    }

    /// What it came to; being cancelled comes before everything.
    pub(super) fn end(&self, answer: Result<String, Problem>) {
        self.state.send_replace(match answer {
            _ if self.is_cancelled() => EstimateState::Cancelled,
            Ok(text) => EstimateState::Done(text.into()),
            Err(problem) => EstimateState::Failed(Box::new(problem)),
        });
    }

    pub(super) fn path(&self) -> String {
        format!("/api/v1/estimates/{}", self.number)
    }

    pub(super) fn status(&self) -> EstimateStatus {
        let state = self.state();
        let (done, total) = match state {
            EstimateState::Running { done, total } => (Some(done), Some(total)),
            _ => (None, None),
        };
        EstimateStatus {
            number: self.number,
            state: state.key(),
            done,
            total,
            result: self.path(),
            events: format!("{}/events", self.path()),
        }
    }
}

impl EstimateState {
    pub(super) fn key(&self) -> &'static str {
        match self {
            Self::Waiting => "waiting",
            Self::Running { .. } => "running",
            Self::Done(_) => "done",
            Self::Failed(_) => "failed",
            Self::Cancelled => "cancelled",
        }
    }

    pub(super) fn is_over(&self) -> bool {
        matches!(self, Self::Done(_) | Self::Failed(_) | Self::Cancelled)
    }
}

/// Tells an estimate how far it is, and stops it when it is cancelled or the server ends.
#[derive(Debug)]
pub(super) struct Told {
    pub(super) estimate: Arc<Estimate>,
    pub(super) stopping: watch::Receiver<bool>,
}

impl Progress for Told {
    fn show(&mut self, done: u64, total: u64) {
        // One that was ended while it waited stays ended, though its turn has come.
        self.estimate.state.send_if_modified(|state| {
            let goes_on = !state.is_over();
            if goes_on {
                *state = EstimateState::Running { done, total };
            }
            goes_on
        });
    }

    fn is_stopped(&self) -> bool {
        self.estimate.is_cancelled() || *self.stopping.borrow()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Its turn may come just as it is ended: what it tells then is not listened to.
    #[test]
    fn law_an_ended_estimate_stays_ended() {
        let estimates = Estimates::new(&Limits::default());
        let estimate = estimates.begin().unwrap();
        let (_keep, stopping) = watch::channel(false);
        let mut told = Told { estimate: Arc::clone(&estimate), stopping };
        told.show(1, 9);
        assert_eq!(estimate.state().key(), "running");
        let ended = estimates.begin().unwrap();
        ended.cancel();
        told.estimate = Arc::clone(&ended);
        told.show(1, 9);
        assert_eq!(ended.state().key(), "cancelled");
        ended.end(Ok(String::new()));
        assert_eq!(ended.state().key(), "cancelled");
    }
}
