use super::Encoding;

/// What stands between two cells of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Separator {
    /// Tab.
    Tab,
    /// Semicolon.
    Semicolon,
    /// Comma.
    Comma,
    /// One or more blanks or tabs.
    Blanks,
    /// Nothing: a single column.
    None,
}

/// What stands between whole and fraction of a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DecimalMark {
    /// `0.5`
    Point,
    /// `0,5`
    Comma,
}

/// How a delimited text was understood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Layout {
    /// How bytes were read as characters.
    pub encoding: Encoding,
    /// What stands between two cells.
    pub separator: Separator,
    /// Decimal point or comma.
    pub decimal_mark: DecimalMark,
    /// Line of the first row of data, counted from 1.
    pub first_data_line: usize,
    /// Columns that carry data, counted from 1.
    pub data_columns: Vec<usize>,
    /// Column used as time axis or as sample index, counted from 1.
    pub time_column: Option<usize>,
}

impl Separator {
    /// All of them, the most telling first.
    pub(super) const ALL: [Self; 5] =
        [Self::Tab, Self::Semicolon, Self::Comma, Self::Blanks, Self::None];

    /// The byte the splitter is given; a single column is split at a byte no text holds.
    pub(super) fn byte(self) -> u8 {
        match self {
            Self::Tab | Self::Blanks => b'\t',
            Self::Semicolon => b';',
            Self::Comma => b',',
            Self::None => 0x1f,
        }
    }

    /// The separator in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Tab => "tab",
            Self::Semicolon => "semicolon",
            Self::Comma => "comma",
            Self::Blanks => "blanks",
            Self::None => "none (single column)",
        }
    }
}

impl DecimalMark {
    /// The mark as a byte of the text.
    pub(super) fn byte(self) -> u8 {
        match self {
            Self::Point => b'.',
            Self::Comma => b',',
        }
    }

    /// The mark in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Point => "decimal point",
            Self::Comma => "decimal comma",
        }
    }
}
