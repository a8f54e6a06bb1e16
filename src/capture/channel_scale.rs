/// How the numbers of a file became the values of a channel, for formats that say so themselves.
///
/// # Formula
/// value = multiplier · number + offset, in the channel's unit on the side that was chosen.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ChannelScale {
    /// Multiplier and offset written in the file; `None` when numbers are values.
    pub linear: Option<(f64, f64)>,
    /// Rated primary and secondary of the instrument transformer, when the file gives both.
    pub rated: Option<(f64, f64)>,
    /// Side the file's values are on, when it says so.
    pub written_side: Option<Side>,
    /// Side the values here are on.
    pub side: Option<Side>,
    /// The value that is full scale of the converter, where the format fixes one: 1 for sound.
    pub full_scale: Option<f64>,
    /// Time by which the channel was sampled after the first one, where the file gives it.
    pub skew_s: Option<f64>,
}

/// Side of an instrument transformer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The side of the circuit.
    Primary,
    /// The side of the recorder.
    Secondary,
}

impl Side {
    /// The side in one word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Primary => "primary",
            Self::Secondary => "secondary",
        }
    }
}
