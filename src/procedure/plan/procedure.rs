use std::path::Path;

use crate::description::from_toml;
use crate::error::{Error, Result};

use super::raw::RawProcedure;
use super::reader::Reader;
use super::{Item, Stage};

/// The calibration as ordered stages of items.
///
/// # Example
/// ```
/// use loopcrest::procedure::plan::Procedure;
/// let procedure = Procedure::embedded();
/// let shorted = procedure.item("output-shorted").expect("the default has it");
/// assert!(procedure.item("overcurrent").unwrap().after.contains(&shorted.key));
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Procedure {
    /// Its title.
    pub title: String,
    /// Its stages, in order.
    pub stages: Vec<Stage>,
    /// The text it was read from, whole.
    pub text: String,
}

impl Procedure {
    /// The one format number this program reads.
    pub const FORMAT: i64 = 1;
    /// The embedded procedure: a commented file to begin from.
    pub const EMBEDDED_TEXT: &'static str = include_str!("../embedded.toml");
    /// Largest procedure file that is read.
    const MAX_BYTES: u64 = 1 << 20;

    /// The embedded procedure.
    #[must_use]
    pub fn embedded() -> Self {
        Self::parse(Self::EMBEDDED_TEXT).expect("the embedded procedure is read by a test")
    }

    /// Reads a procedure file.
    ///
    /// # Errors
    /// `Io` when it cannot be read; otherwise as [`Self::parse`], with the file named.
    pub fn read(file: &Path) -> Result<Self> {
        let failed = |source| Error::io(file, source);
        let about = std::fs::metadata(file).map_err(failed)?;
        if about.is_dir() {
            return Err(failed(std::io::ErrorKind::IsADirectory.into())
                .with_hint("name the procedure in it, such as procedure.toml"));
        }
        if about.len() > Self::MAX_BYTES {
            let expected = format!("a procedure of at most {} bytes", Self::MAX_BYTES);
            return Err(Error::malformed(expected, format!("{} bytes", about.len())).in_file(file));
        }
        let text = String::from_utf8(std::fs::read(file).map_err(failed)?).map_err(|error| {
            let at = error.utf8_error().valid_up_to();
            Error::malformed("text in UTF-8", format!("other bytes at position {at}")).in_file(file)
        })?;
        Self::parse(&text).map_err(|error| error.in_file(file))
    }

    /// Reads the text of a procedure.
    ///
    /// # Errors
    /// `Malformed`, `OutOfRange` or `Inconsistent`, with line, column and field: an unknown field, a
    /// key given twice, a precondition that never comes before its item, readings or a protection
    /// without the item that connects the output for them, an end that is not the last item.
    pub fn parse(text: &str) -> Result<Self> {
        let raw: RawProcedure =
            toml::from_str(text).map_err(|complaint| from_toml(text, &complaint))?;
        Reader { text }.procedure(&raw)
    }

    /// Every item with its stage, in order.
    pub fn items(&self) -> impl Iterator<Item = (&Stage, &Item)> {
        self.stages.iter().flat_map(|stage| stage.items.iter().map(move |item| (stage, item)))
    }

    /// The item with that key.
    #[must_use]
    pub fn item(&self, key: &str) -> Option<&Item> {
        self.items().map(|(_, item)| item).find(|item| item.key == key)
    }

    /// Whether some item cannot come before this one holds.
    #[must_use]
    pub fn is_needed(&self, key: &str) -> bool {
        self.items().any(|(_, item)| item.after.iter().any(|needed| needed == key))
    }
}
