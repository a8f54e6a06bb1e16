use crate::error::{Error, Result};

/// Kind of file an instrument wrote.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum Format {
    /// Rows of numbers in text.
    DelimitedText,
    /// The configuration of a COMTRADE record, its data in a file beside it.
    Comtrade,
    /// A COMTRADE record in one file.
    ComtradeSingle,
    /// A WAV sound file.
    Wav,
    /// A NumPy array.
    Npy,
}

impl Format {
    /// Bytes in which a format shows itself.
    pub(super) const HEAD: usize = 512;

    /// The format of these bytes, told by what they hold and never by a file's name.
    ///
    /// # Errors
    /// `Malformed`, by name, for kinds of files that are known and hold no samples this program reads:
    /// pictures, documents, packed files.
    pub fn of(bytes: &[u8]) -> Result<Self> {
        let refused = match bytes {
            [b'R', b'I', b'F', b'F', ..] => return Ok(Self::Wav),
            [0x93, b'N', b'U', b'M', b'P', b'Y', ..] => return Ok(Self::Npy),
            [b'R', b'F', b'6', b'4', ..] => "a WAV file of more than 4 GB",
            [b'R', b'I', b'F', b'X', ..] => "a sound file with its bytes the other way round",
            [0x89, b'P', b'N', b'G', ..] => "a PNG picture",
            [0xFF, 0xD8, 0xFF, ..] => "a JPEG picture",
            [b'%', b'P', b'D', b'F', ..] => "a PDF document",
            [b'P', b'K', 3, 4, ..] => "a packed file (a spreadsheet, perhaps)",
            [0x1F, 0x8B, ..] => "a packed file",
            _ => return Ok(Self::of_text(bytes)),
        };
        Err(Error::malformed("samples", format!("{refused}, which is not read"))
            .with_hint("export the samples as delimited text (CSV), COMTRADE, WAV or NumPy"))
    }

    /// The format in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::DelimitedText => "delimited text",
            Self::Comtrade => "COMTRADE, configuration and data",
            Self::ComtradeSingle => "COMTRADE, single file",
            Self::Wav => "WAV",
            Self::Npy => "NumPy array",
        }
    }

    /// A configuration tells itself by its second line, the numbers of channels as `12,8A,4D`; a
    /// single file by its first.
    fn of_text(bytes: &[u8]) -> Self {
        let head = super::decode::decode(&bytes[..bytes.len().min(Self::HEAD)]).text.into_owned();
        let mut lines = head.lines();
        let first = lines.next().unwrap_or("").trim().to_ascii_lowercase();
        if first.starts_with("---") && first.contains("file type:") {
            return Self::ComtradeSingle;
        }
        let counts = lines.next().unwrap_or("").trim().to_ascii_uppercase();
        let mut counts = counts.split(',').map(str::trim);
        let number = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
        let ends = |text: Option<&str>, end: char| {
            text.and_then(|t| t.strip_suffix(end)).is_some_and(number)
        };
        let all = counts.next().is_some_and(number);
        if all && ends(counts.next(), 'A') && ends(counts.next(), 'D') {
            return Self::Comtrade;
        }
        Self::DelimitedText
    }
}
