use std::path::{Path, PathBuf};

use clap::Args;

use crate::error::Result;
use crate::logbook::{Clock, Logbook};

/// Which logbook.
#[derive(Clone, Debug, Args)]
pub(super) struct LogbookArgs {
    /// The logbook [default: loopcrest-logbook.sqlite in this folder]
    #[arg(
        long,
        global = true,
        value_name = "FILE",
        env = "LOOPCREST_LOGBOOK",
        hide_env_values = true
    )]
    pub(super) logbook: Option<PathBuf>,
}

/// Who writes into it.
#[derive(Clone, Debug, Args)]
pub(super) struct WriterArgs {
    /// Who writes this
    #[arg(long, global = true, value_name = "NAME")]
    pub(super) by: Option<String>,
    /// Write even when the clock is behind the last entry; a remark says so
    #[arg(long, global = true)]
    pub(super) despite_clock: bool,
}

impl LogbookArgs {
    /// Its file.
    pub(super) fn file(&self) -> &Path {
        self.logbook.as_deref().unwrap_or(Path::new(Logbook::DEFAULT_NAME))
    }

    /// The logbook, for reading only.
    pub(super) fn read(&self) -> Result<Logbook> {
        Logbook::open_read_only(self.file())
    }

    /// The logbook, for writing.
    pub(super) fn write(&self, writer: &WriterArgs) -> Result<Logbook> {
        let logbook = Logbook::open(self.file())?;
        logbook.check_end()?;
        writer.named(logbook)
    }

    /// The logbook, for writing, begun when there is none; whether it was begun.
    pub(super) fn write_or_begin(&self, writer: &WriterArgs) -> Result<(Logbook, bool)> {
        let (logbook, is_new) = Logbook::open_or_create(self.file())?;
        logbook.check_end()?;
        Ok((writer.named(logbook)?, is_new))
    }
}

impl WriterArgs {
    fn named(&self, logbook: Logbook) -> Result<Logbook> {
        let logbook = logbook.with_clock(Clock::from_environment()?);
        let logbook = if self.despite_clock { logbook.despite_clock() } else { logbook };
        match &self.by {
            Some(name) => logbook.with_person(name),
            None => Ok(logbook),
        }
    }
}
