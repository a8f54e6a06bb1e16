use std::path::PathBuf;

use super::Place;

/// What went wrong, sorted by what the person does next.
#[derive(Debug)]
#[non_exhaustive]
pub enum ErrorKind {
    /// Change one value: it lies outside what the model or the program allows.
    OutOfRange {
        /// The quantity in words.
        quantity: String,
        /// The value that was given.
        value: f64,
        /// Its unit; empty when dimensionless.
        unit: String,
        /// The allowed range in words.
        allowed: String,
    },
    /// Decide between values that contradict each other, or supply what is missing.
    Inconsistent {
        /// The contradiction in one sentence.
        what: String,
    },
    /// Give the solver a better start or an easier case: an iteration ended without an answer.
    NotConverged {
        /// Which computation, in words.
        stage: String,
        /// How many iterations were made.
        iterations: usize,
        /// The last residual, in the unit the stage names.
        residual: f64,
        /// The element or state that is farthest from closing.
        worst: String,
    },
    /// Mend the file: something in it cannot be read as it should.
    Malformed {
        /// The file, when the text came from one.
        path: Option<PathBuf>,
        /// Line, column and text of the trouble, where known.
        place: Option<Place>,
        /// What the program looked for.
        expected: String,
        /// What it found.
        found: String,
    },
    /// Look at the file system: a file could not be read or written.
    Io {
        /// The file or folder.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
}

impl std::fmt::Display for ErrorKind {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::OutOfRange { quantity, value, unit, allowed } => {
                let gap = if unit.is_empty() { "" } else { " " };
                write!(f, "{quantity} is {value}{gap}{unit}, allowed is {allowed}")
            }
            Self::Inconsistent { what } => write!(f, "{what}"),
            Self::NotConverged { stage, iterations, residual, worst } => write!(
                f,
                "{stage} did not converge: residual {residual:.3e} after {iterations} iterations, worst at {worst}"
            ),
            Self::Malformed { path, place, expected, found } => {
                if let Some(path) = path {
                    write!(f, "{}", path.display())?;
                    if place.is_none() {
                        write!(f, ": ")?;
                    }
                }
                if let Some(place) = place {
                    let colon = if path.is_some() { ":" } else { "line " };
                    write!(f, "{colon}{place}: ")?;
                }
                write!(f, "expected {expected}, found {found}")
            }
            Self::Io { path, source } => write!(f, "{}: {source}", path.display()),
        }
    }
}
