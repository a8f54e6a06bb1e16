use std::path::{Path, PathBuf};

use super::{ErrorKind, Place};

/// Result with the library's error.
pub type Result<T> = std::result::Result<T, Error>;

/// The one error of the library: its kind, where it was found, the context it passed through, one
/// hint.
///
/// Printed outermost first:
/// `bench.toml:12:9 (low): step 3: edge of a band is -4 A, allowed is 0.01 to 1000 A`.
#[derive(Debug)]
pub struct Error(Box<Inner>);

#[derive(Debug)]
struct Inner {
    kind: ErrorKind,
    file: Option<PathBuf>,
    place: Option<Place>,
    context: Vec<String>,
    hint: Option<String>,
}

impl Error {
    /// An error of the given kind, without place, context or hint.
    #[must_use]
    pub fn new(kind: ErrorKind) -> Self {
        Self(Box::new(Inner { kind, file: None, place: None, context: Vec::new(), hint: None }))
    }

    /// Values contradict each other or something needed is missing.
    #[must_use]
    pub fn inconsistent(what: impl Into<String>) -> Self {
        Self::new(ErrorKind::Inconsistent { what: what.into() })
    }

    /// Text that cannot be read as it should.
    #[must_use]
    pub fn malformed(expected: impl Into<String>, found: impl Into<String>) -> Self {
        Self::new(ErrorKind::Malformed { expected: expected.into(), found: found.into() })
    }

    /// A file could not be read or written.
    #[must_use]
    pub fn io(path: impl Into<PathBuf>, source: std::io::Error) -> Self {
        Self::new(ErrorKind::Io { path: path.into(), source })
    }

    /// The same error seen from one level up; printed before what is inside.
    #[must_use]
    pub fn with_context(mut self, context: impl Into<String>) -> Self {
        self.0.context.push(context.into());
        self
    }

    /// The same error with a hint, unless it already has one: the innermost knows best.
    #[must_use]
    pub fn with_hint(mut self, hint: impl Into<String>) -> Self {
        self.0.hint.get_or_insert_with(|| hint.into());
        self
    }

    /// The same error with more to try after its hint: what the level above calls the thing to change.
    #[must_use]
    pub fn with_more_hint(mut self, more: impl AsRef<str>) -> Self {
        self.0.hint = Some(match self.0.hint.take() {
            Some(hint) => format!("{hint} ({})", more.as_ref()),
            None => more.as_ref().to_owned(),
        });
        self
    }

    /// The same error with the file it came from, unless it already has one.
    #[must_use]
    pub fn in_file(mut self, file: impl Into<PathBuf>) -> Self {
        if !matches!(self.0.kind, ErrorKind::Io { .. }) {
            self.0.file.get_or_insert_with(|| file.into());
        }
        self
    }

    /// The same error with its place in the text, unless it already has one.
    #[must_use]
    pub fn at(mut self, place: Place) -> Self {
        self.0.place.get_or_insert(place);
        self
    }

    /// What went wrong.
    #[must_use]
    pub fn kind(&self) -> &ErrorKind {
        &self.0.kind
    }

    /// The file it came from, where one is known.
    #[must_use]
    pub fn file(&self) -> Option<&Path> {
        self.0.file.as_deref()
    }

    /// Its place in the text, where one is known.
    #[must_use]
    pub fn place(&self) -> Option<&Place> {
        self.0.place.as_ref()
    }

    /// What to try, when the library knows.
    #[must_use]
    pub fn hint(&self) -> Option<&str> {
        self.0.hint.as_deref()
    }

    /// Context and kind without file and place, for a face that shows those in its own way.
    #[must_use]
    pub fn sentence(&self) -> String {
        let mut sentence = String::new();
        for outer in self.0.context.iter().rev() {
            sentence.push_str(outer);
            sentence.push_str(": ");
        }
        sentence + &self.0.kind.to_string()
    }
}

impl std::fmt::Display for Error {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match (&self.0.file, &self.0.place) {
            (Some(file), Some(place)) => write!(f, "{}:{place}: ", file.display())?,
            (Some(file), None) => write!(f, "{}: ", file.display())?,
            (None, Some(place)) => write!(f, "line {place}: ")?,
            (None, None) => {}
        }
        write!(f, "{}", self.sentence())
    }
}

impl std::error::Error for Error {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match &self.0.kind {
            ErrorKind::Io { source, .. } => Some(source),
            _ => None,
        }
    }
}
