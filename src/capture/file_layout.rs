use super::comtrade::TransientLayout;
use super::{ArrayLayout, Format, Layout, SoundLayout};

/// How a file was understood, by its format.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum FileLayout {
    /// Rows of numbers in text.
    Text(Layout),
    /// A COMTRADE record.
    Transient(TransientLayout),
    /// A WAV sound file.
    Sound(SoundLayout),
    /// A NumPy array.
    Array(ArrayLayout),
}

impl FileLayout {
    /// The file's format.
    #[must_use]
    pub fn format(&self) -> Format {
        match self {
            Self::Text(_) => Format::DelimitedText,
            Self::Transient(layout) if layout.single_file => Format::ComtradeSingle,
            Self::Transient(_) => Format::Comtrade,
            Self::Sound(_) => Format::Wav,
            Self::Array(_) => Format::Npy,
        }
    }

    /// How delimited text was understood; `None` for any other format.
    #[must_use]
    pub fn text(&self) -> Option<&Layout> {
        match self {
            Self::Text(layout) => Some(layout),
            _ => None,
        }
    }
}
