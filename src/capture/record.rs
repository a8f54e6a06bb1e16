use crate::error::{Error, Result};

use super::column_choice::{find_column, list};
use super::{Channel, ColumnChoice, FileLayout, RowProblem, Timing};

/// What a file from an instrument holds, whatever its format: channels on one time axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// The measured columns, the time axis left out.
    pub channels: Vec<Channel>,
    /// The time axis, when the file or the caller gives one.
    pub timing: Option<Timing>,
    /// Keys and values the file carries beside the data.
    pub metadata: Vec<(String, String)>,
    /// How the file was understood.
    pub layout: FileLayout,
    /// Rows that carry less than they should, in the order of the file; the first
    /// [`Self::MAX_PROBLEMS`] of them.
    pub problems: Vec<RowProblem>,
    /// How many such findings there are in all.
    pub problem_count: usize,
}

impl Record {
    /// Findings kept one by one; more are only counted.
    pub const MAX_PROBLEMS: usize = 1000;

    /// Number of samples on the time axis, gaps included.
    #[must_use]
    pub fn len(&self) -> usize {
        self.channels.first().map_or(0, Channel::len)
    }

    /// Whether there is no sample at all.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The channel asked for; automatically the first that is a current, else the only one.
    ///
    /// # Errors
    /// `Inconsistent`, with the columns listed, when there is no such channel or none stands out.
    pub fn channel(&self, choice: &ColumnChoice) -> Result<&Channel> {
        let columns: Vec<_> =
            self.channels.iter().map(|channel| (channel.number, channel.name.as_deref())).collect();
        let at = match find_column(choice, &columns)? {
            Some(at) => Some(at),
            None if self.channels.len() == 1 => Some(0),
            None => self.channels.iter().position(Channel::looks_like_current),
        };
        at.and_then(|at| self.channels.get(at)).ok_or_else(|| {
            Error::inconsistent("no column is marked as a current by its unit or name")
                .with_hint(format!("choose one of the columns {}", list(&columns)))
        })
    }
}
