use super::HarmonicGroups;

/// Ten periods of a 50 Hz record or twelve of a 60 Hz one, about 200 ms, as one value.
///
/// # Formula
/// RMS over all samples of the window's periods, mean included.
///
/// # Validity
/// Windows follow each other without a gap from the beginning of each stretch; they are not tied to
/// the clock's ten minutes.
///
/// # Source
/// IEC 61000-4-30 (window of 10 cycles at 50 Hz, 12 at 60 Hz).
#[derive(Clone, Debug, PartialEq)]
pub struct CycleWindow {
    /// Where it begins, in seconds after the first sample.
    pub start_s: f64,
    /// Mains frequency in it.
    pub frequency_hz: f64,
    /// Periods in it.
    pub cycles: usize,
    /// True RMS, mean included.
    pub rms_a: f64,
    /// Its harmonics in groups.
    pub groups: HarmonicGroups,
}

impl CycleWindow {
    /// Frequency below which a window has ten periods.
    const TEN_BELOW_HZ: f64 = 55.0;

    /// Periods of a window at this mains frequency.
    #[must_use]
    pub fn cycles_at(frequency_hz: f64) -> usize {
        if frequency_hz < Self::TEN_BELOW_HZ { 10 } else { 12 }
    }
}
