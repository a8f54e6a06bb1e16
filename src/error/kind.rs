use std::path::PathBuf;

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
                let (value, unit) = for_people(*value, unit);
                let gap = if unit.is_empty() { "" } else { " " };
                write!(f, "{quantity} is {value}{gap}{unit}, allowed is {allowed}")
            }
            Self::Inconsistent { what } => write!(f, "{what}"),
            Self::NotConverged { stage, iterations, residual, worst } => write!(
                f,
                "{stage} did not converge: residual {residual:.3e} after {iterations} iterations, worst at {worst}"
            ),
            Self::Malformed { expected, found } => {
                write!(f, "expected {expected}, found {found}")
            }
            Self::Io { path, source } => write!(f, "{}: {source}", path.display()),
        }
    }
}

/// A value and its unit as people read them: an angle in degrees, whatever it is inside, and without
/// the last digits that only come from converting ("6.5 mA" is not 0.006500000000000001 A).
pub(super) fn for_people(value: f64, unit: &str) -> (f64, &str) {
    if unit == "rad" {
        return ((value.to_degrees() * 1e6).round() / 1e6, "deg");
    }
    (format!("{value:.11e}").parse().unwrap_or(value), unit)
}
