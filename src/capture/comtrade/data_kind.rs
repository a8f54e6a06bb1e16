use crate::capture::packed::Coding;

/// How the samples of a record are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DataKind {
    /// Rows of text.
    Ascii,
    /// Whole numbers of 16 bits.
    Binary,
    /// Whole numbers of 32 bits.
    Binary32,
    /// Floating-point numbers of 32 bits.
    Float32,
}

impl DataKind {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Ascii, Self::Binary, Self::Binary32, Self::Float32];

    /// The kind as a configuration writes it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Ascii => "ASCII",
            Self::Binary => "BINARY",
            Self::Binary32 => "BINARY32",
            Self::Float32 => "FLOAT32",
        }
    }

    pub(super) fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word().eq_ignore_ascii_case(word))
    }

    /// How one number is coded; `None` for text.
    pub(super) fn coding(self) -> Option<Coding> {
        match self {
            Self::Ascii => None,
            Self::Binary => Some(Coding::Whole16),
            Self::Binary32 => Some(Coding::Whole32),
            Self::Float32 => Some(Coding::Float32),
        }
    }

    /// The number that stands for a missing value; floating-point numbers use "not a number".
    pub(super) fn missing(self) -> Option<i32> {
        match self {
            Self::Ascii => Some(99_999),
            Self::Binary => Some(-0x8000),
            Self::Binary32 => Some(i32::MIN),
            Self::Float32 => None,
        }
    }

    /// The largest number used on both sides of zero when writing.
    pub(super) fn largest(self) -> f64 {
        match self {
            Self::Ascii => 99_998.0,
            Self::Binary => 32_767.0,
            Self::Binary32 => 2_147_483_647.0,
            Self::Float32 => f64::from(f32::MAX),
        }
    }
}
