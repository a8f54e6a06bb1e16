use std::path::PathBuf;

use super::{ErrorKind, Place};

/// Result with the library's error.
pub type Result<T> = std::result::Result<T, Error>;

/// The one error of the library: its kind, the context it passed through, one hint.
///
/// Printed outermost context first: `meter "clamp 2": range is -5 A, allowed is 0.001 to 10000 A`.
#[derive(Debug)]
pub struct Error {
    kind: Box<ErrorKind>,
    context: Vec<String>,
    hint: Option<String>,
}

impl Error {
    /// An error of the given kind, without context or hint.
    #[must_use]
    pub fn new(kind: ErrorKind) -> Self {
        Self { kind: Box::new(kind), context: Vec::new(), hint: None }
    }

    /// Values contradict each other or something needed is missing.
    #[must_use]
    pub fn inconsistent(what: impl Into<String>) -> Self {
        Self::new(ErrorKind::Inconsistent { what: what.into() })
    }

    /// Text that cannot be read as it should.
    #[must_use]
    pub fn malformed(expected: impl Into<String>, found: impl Into<String>) -> Self {
        Self::new(ErrorKind::Malformed {
            path: None,
            place: None,
            expected: expected.into(),
            found: found.into(),
        })
    }

    /// A file could not be read or written.
    #[must_use]
    pub fn io(path: impl Into<PathBuf>, source: std::io::Error) -> Self {
        Self::new(ErrorKind::Io { path: path.into(), source })
    }

    /// The same error seen from one level up; printed before what is inside.
    #[must_use]
    pub fn with_context(mut self, context: impl Into<String>) -> Self {
        self.context.push(context.into());
        self
    }

    /// The same error with a hint, unless it already has one: the innermost knows best.
    #[must_use]
    pub fn with_hint(mut self, hint: impl Into<String>) -> Self {
        self.hint.get_or_insert_with(|| hint.into());
        self
    }

    /// The same error with the file it came from, where the kind can hold one.
    #[must_use]
    pub fn in_file(mut self, file: impl Into<PathBuf>) -> Self {
        if let ErrorKind::Malformed { path, .. } = self.kind.as_mut() {
            path.get_or_insert_with(|| file.into());
            return self;
        }
        let file: PathBuf = file.into();
        self.with_context(file.display().to_string())
    }

    /// The same error with its place in the text, where the kind can hold one.
    #[must_use]
    pub fn at(mut self, found_at: Place) -> Self {
        match self.kind.as_mut() {
            ErrorKind::Malformed { place, .. } => {
                place.get_or_insert(found_at);
                self
            }
            _ => self.with_context(format!("line {found_at}")),
        }
    }

    /// What went wrong.
    #[must_use]
    pub fn kind(&self) -> &ErrorKind {
        &self.kind
    }

    /// What to try, when the library knows.
    #[must_use]
    pub fn hint(&self) -> Option<&str> {
        self.hint.as_deref()
    }
}

impl std::fmt::Display for Error {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for outer in self.context.iter().rev() {
            write!(f, "{outer}: ")?;
        }
        write!(f, "{}", self.kind)
    }
}

impl std::error::Error for Error {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self.kind.as_ref() {
            ErrorKind::Io { source, .. } => Some(source),
            _ => None,
        }
    }
}
