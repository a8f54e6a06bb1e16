use std::io::IsTerminal;
use std::sync::atomic::{AtomicBool, Ordering};

use indicatif::{ProgressBar, ProgressStyle};

use crate::error::{Error, Result};
use crate::study::Progress;

/// Whether someone pressed Ctrl-C. A signal has no other place to leave its word.
static STOPPED: AtomicBool = AtomicBool::new(false);

/// A bar with the time left on standard error, when that is a terminal.
#[derive(Debug)]
pub(super) struct Bar {
    bar: ProgressBar,
    listens: bool,
}

impl Bar {
    /// A bar that only shows.
    pub(super) fn new() -> Self {
        let bar = if std::io::stderr().is_terminal() {
            ProgressBar::new(0)
        } else {
            ProgressBar::hidden()
        };
        let style = ProgressStyle::with_template("{bar:30} {pos}/{len} {prefix}, {eta} left");
        bar.set_style(style.expect("the template is a constant"));
        bar.set_prefix("circuits");
        Self { bar, listens: false }
    }

    /// A bar that only shows, and counts what is named.
    pub(super) fn counting(what: &'static str) -> Self {
        let bar = Self::new();
        bar.bar.set_prefix(what);
        bar
    }

    /// Shows how much is done; several threads may tell.
    pub(super) fn tell(&self, done: u64, total: u64) {
        self.bar.set_length(total);
        self.bar.set_position(done);
    }

    /// A bar that also stops the work after the present circuit on Ctrl-C or a request to end.
    ///
    /// # Errors
    /// `Io` when the signal cannot be listened to.
    pub(super) fn that_stops() -> Result<Self> {
        ctrlc::set_handler(|| STOPPED.store(true, Ordering::SeqCst))
            .map_err(|error| Error::io("signals", std::io::Error::other(error)))?;
        Ok(Self { listens: true, ..Self::new() })
    }

    /// Takes the bar away.
    pub(super) fn finish(&self) {
        self.bar.finish_and_clear();
    }
}

impl Progress for Bar {
    fn show(&mut self, done: u64, total: u64) {
        self.bar.set_length(total);
        self.bar.set_position(done);
    }

    fn is_stopped(&self) -> bool {
        self.listens && STOPPED.load(Ordering::SeqCst)
    }
}
