use crate::error::{Error, Place, Result};

/// The lines of a configuration, one after the other.
#[derive(Debug)]
pub(super) struct Lines<'t> {
    lines: Vec<&'t str>,
    next: usize,
}

impl<'t> Lines<'t> {
    pub(super) fn new(text: &'t str) -> Self {
        Self { lines: text.lines().collect(), next: 0 }
    }

    /// The fields of the next line, trimmed.
    ///
    /// # Errors
    /// `Malformed` when the configuration ends here or the line has fewer fields.
    pub(super) fn fields(&mut self, what: &str, fewest: usize) -> Result<Fields<'t>> {
        let line = self.lines.get(self.next).copied().unwrap_or("");
        let number = self.next + 1;
        self.next += 1;
        if self.lines[self.next.min(self.lines.len())..].iter().all(|rest| rest.trim().is_empty())
            && line.trim().is_empty()
        {
            return Err(incomplete(what).at(Place::line(number)));
        }
        let fields: Vec<&str> = line.split(',').map(str::trim).collect();
        if fields.len() < fewest {
            let error = if self.next >= self.lines.len() {
                incomplete(what)
            } else {
                let found = format!("{}: \"{}\"", fields.len(), shortened(line));
                Error::malformed(format!("{fewest} fields for {what}"), found)
            };
            return Err(error.at(Place::line(number)));
        }
        Ok(Fields { fields, line: number })
    }

    /// The fields of the next line where a configuration may also end.
    pub(super) fn optional(&mut self) -> Option<Fields<'t>> {
        let line = self.lines.get(self.next)?;
        self.next += 1;
        Some(Fields { fields: line.split(',').map(str::trim).collect(), line: self.next })
    }
}

/// The fields of one line.
#[derive(Debug)]
pub(super) struct Fields<'t> {
    fields: Vec<&'t str>,
    line: usize,
}

impl<'t> Fields<'t> {
    /// Field `at`, counted from 0; `None` when it is empty or not there.
    pub(super) fn text(&self, at: usize) -> Option<&'t str> {
        self.fields.get(at).copied().filter(|text| !text.is_empty())
    }

    /// A finite number in field `at`, if there is one.
    pub(super) fn number(&self, at: usize) -> Option<f64> {
        self.text(at)?.parse().ok().filter(|number: &f64| number.is_finite())
    }

    /// Field `at` as a count, perhaps with a letter behind it.
    ///
    /// # Errors
    /// `Malformed` when it is none.
    pub(super) fn count(&self, at: usize, letter: &str, what: &str) -> Result<usize> {
        let text = self.text(at).unwrap_or("").to_ascii_uppercase();
        let digits = text.strip_suffix(letter).unwrap_or(&text).trim();
        digits.parse().map_err(|_| self.wrong(what, at))
    }

    /// The complaint that field `at` is not what it should be.
    pub(super) fn wrong(&self, expected: &str, at: usize) -> Error {
        let found = self.text(at).map_or("nothing".to_owned(), |t| format!("\"{}\"", shortened(t)));
        Error::malformed(expected, found).at(Place::line(self.line))
    }
}

fn incomplete(what: &str) -> Error {
    Error::malformed(what, "the end of the configuration, which is incomplete")
        .with_hint("was the file copied to the end?")
}

fn shortened(text: &str) -> String {
    text.chars().take(40).collect()
}
