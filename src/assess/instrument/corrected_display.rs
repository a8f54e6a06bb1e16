use super::SetBand;

/// What an unfit meter would show at the nominal current of one waveform.
///
/// Never a licence to set a step: [`Self::WARNING`] goes with it wherever it is shown.
#[derive(Clone, Debug, PartialEq)]
pub struct CorrectedDisplay {
    /// The waveform it holds for, in words.
    pub origin: String,
    /// What the meter shows of the nominal current of that waveform.
    pub nominal_shown_a: f64,
    /// What it must show for the true current to lie in the band, for that waveform; `None` when its
    /// uncertainty leaves nothing even then.
    pub set_band: Option<SetBand>,
}

impl CorrectedDisplay {
    /// The warning that belongs to every corrected display.
    pub const WARNING: &'static str = "holds for this waveform alone: another load or a lamp out \
        makes it wrong; it is no substitute for a true-RMS instrument";
}
