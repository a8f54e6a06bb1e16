use std::ops::Range;

use crate::description::place;
use crate::error::{Error, Place, Result};

/// A lesson file: its text, where the head is and where the body begins.
#[derive(Clone, Debug)]
pub(super) struct Text {
    whole: String,
    body_at: usize,
}

/// Text between two braces on each side: its words and its place in the file.
#[derive(Clone, Debug)]
pub(super) struct Marker {
    pub words: Vec<String>,
    pub range: Range<usize>,
}

const FENCE: &str = "+++";

impl Text {
    /// Finds head and body.
    ///
    /// # Errors
    /// `Malformed` when a fence is missing.
    pub(super) fn new(text: &str) -> Result<Self> {
        let whole = text.replace("\r\n", "\n");
        let missing = |line: usize, found: &str| {
            Error::malformed("a line +++ before and after the head of the lesson", found)
                .at(Place::line(line))
                .with_hint("`loopcrest starter --lesson` writes a lesson to begin from")
        };
        let Some(rest) = whole.strip_prefix(&format!("{FENCE}\n")) else {
            return Err(missing(1, "a file that does not begin with it"));
        };
        let end = match rest.find(&format!("\n{FENCE}\n")) {
            Some(at) => at + 1,
            None => return Err(missing(1, "no second one")),
        };
        let body_at = FENCE.len() + 1 + end + FENCE.len() + 1;
        Ok(Self { whole, body_at })
    }

    /// The head as TOML, everything at its place in the file.
    pub(super) fn head(&self) -> String {
        let fence = FENCE.len();
        let head = &self.whole[fence..self.body_at - fence - 1];
        format!("{}{head}", " ".repeat(fence))
    }

    /// The lines of the body with their places.
    pub(super) fn body_lines(&self) -> impl Iterator<Item = (Range<usize>, &str)> {
        let mut at = self.body_at;
        self.whole[self.body_at..].split_inclusive('\n').map(move |line| {
            let range = at..at + line.len();
            at = range.end;
            (range, line)
        })
    }

    pub(super) fn place(&self, range: Range<usize>) -> Place {
        place(&self.whole, range)
    }

    /// Line number of a place.
    pub(super) fn line_of(&self, at: usize) -> usize {
        self.whole[..at].matches('\n').count() + 1
    }
}

/// The markers of a text, in order; places count from `at`.
///
/// # Errors
/// `Malformed` for braces that are opened and not closed.
pub(super) fn markers(text: &str, at: usize) -> Result<Vec<Marker>> {
    let mut found = Vec::new();
    let mut from = 0;
    while let Some(open) = text[from..].find("{{").map(|open| from + open) {
        let Some(close) = text[open..].find("}}").map(|close| open + close + 2) else {
            return Err(Error::malformed("}} after {{", "the end of the line"));
        };
        let words = text[open + 2..close - 2].split_whitespace().map(str::to_owned).collect();
        found.push(Marker { words, range: at + open..at + close });
        from = close;
    }
    Ok(found)
}
