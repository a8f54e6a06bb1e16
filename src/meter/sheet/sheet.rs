use crate::error::{Bounds, Error, Note, Result};
use crate::meter::Detector;

use super::{
    Accuracy, AccuracyLine, Bandwidth, Certificate, Circumstances, Clamp, Converter,
    CrestCapability, Range, RangeRule, Ranges, Temperature, VoltageCategory, Window, findings,
};

/// A meter's data sheet.
///
/// What a sheet does not say is `None`. [`Sheet::check`] refuses what cannot be;
/// [`Sheet::findings`] names what makes the meter doubtful for a use.
///
/// # Example
/// ```
/// use loopcrest::meter::{Archetype, Sheet};
/// let sheet: Sheet = Archetype::GeneralTrueRmsClamp.sheet();
/// assert!(sheet.check(60.0).is_ok());
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Its detector law, coupling included.
    pub detector: Detector,
    /// How the current gets in.
    pub clamp: Clamp,
    /// Largest error from a conductor off the clamp's centre, either sign; `None` when not stated.
    pub position_ratio: Option<f64>,
    /// Its ranges.
    pub ranges: Ranges,
    /// How far up in frequency it sees.
    pub bandwidth: Bandwidth,
    /// Frequency at which its gain was set; `None` for the mains frequency of whatever it measures.
    pub calibrated_hz: Option<f64>,
    /// Which crest factors it can take; `None` when not stated, and then nothing clips.
    pub crest: Option<CrestCapability>,
    /// What makes the number.
    pub converter: Converter,
    /// Highest number its display shows, decimal point left out; `None` for a pointer or when not
    /// stated.
    pub display_counts: Option<u32>,
    /// Limits of error on a sine.
    pub accuracy: Accuracy,
    /// What temperature adds; `None` when not stated.
    pub temperature: Option<Temperature>,
    /// Its certificate; `None` without one.
    pub certificate: Option<Certificate>,
    /// The voltage it may be used on; `None` when not stated.
    pub category: Option<VoltageCategory>,
}

impl Sheet {
    /// Error from the conductor's position.
    pub const POSITION_RATIO: Bounds =
        Bounds::new("error from the conductor's position", "", 0.0, 0.5);
    /// Frequency at which the gain was set.
    pub const CALIBRATED_HZ: Bounds = Bounds::new("frequency of calibration", "Hz", 10.0, 1000.0);
    /// Counts of a display.
    pub const DISPLAY_COUNTS: Bounds = Bounds::new("display counts", "", 100.0, 1e9);

    /// A meter without faults: it shows what its law makes of the current, to a millionth of a
    /// millionth of an ampere.
    ///
    /// To see one fault at a time, begin from this sheet and set that one.
    #[must_use]
    pub fn ideal(detector: Detector) -> Self {
        let range =
            Range { full_scale_a: Range::FULL_SCALE_A.max, resolution_a: Range::RESOLUTION_A.min };
        Self {
            detector,
            clamp: Clamp::Direct,
            position_ratio: None,
            ranges: Ranges { list: vec![range], rule: RangeRule::Manual(0) },
            bandwidth: Bandwidth::Unlimited,
            calibrated_hz: None,
            crest: None,
            converter: Converter::Analogue,
            display_counts: None,
            accuracy: Accuracy { lines: vec![AccuracyLine::new(0.0, 1e9, 0.0, 0.0)] },
            temperature: None,
            certificate: None,
            category: None,
        }
    }

    /// Whether it states an accuracy at all; a meter known by its law alone does not, and a number on it
    /// is then taken as exact.
    #[must_use]
    pub fn states_accuracy(&self) -> bool {
        self.accuracy.lines.iter().any(|line| {
            line.reading_ratio != 0.0 || line.counts != 0.0 || line.full_scale_ratio != 0.0
        })
    }

    /// Refuses a sheet no meter for this mains frequency can have.
    ///
    /// # Errors
    /// `OutOfRange` for a value outside its bounds, a crest-factor capability below 1 among them;
    /// `Inconsistent` for a bandwidth below the mains frequency, a window shorter than a period, or
    /// a range that needs more counts than the display has.
    pub fn check(&self, mains_hz: f64) -> Result<()> {
        self.clamp.check()?;
        self.position_ratio.map(|ratio| Self::POSITION_RATIO.check(ratio)).transpose()?;
        self.ranges.check()?;
        self.bandwidth.check()?;
        self.calibrated_hz.map(|hz| Self::CALIBRATED_HZ.check(hz)).transpose()?;
        self.crest.as_ref().map_or(Ok(()), CrestCapability::check)?;
        self.converter.check()?;
        self.accuracy.check()?;
        self.temperature.as_ref().map_or(Ok(()), Temperature::check)?;
        self.certificate.as_ref().map_or(Ok(()), Certificate::check)?;
        self.category.as_ref().map_or(Ok(()), VoltageCategory::check)?;
        self.check_bandwidth(mains_hz)?;
        self.check_window(mains_hz)?;
        self.check_digits()
    }

    /// What makes this meter doubtful under these circumstances, each a note for every verdict.
    #[must_use]
    pub fn findings(&self, circumstances: &Circumstances) -> Vec<Note> {
        findings::of(self, circumstances)
    }

    /// Peak at which a range or the clamp clips; `None` when nothing does.
    #[must_use]
    pub fn peak_limit_a(&self, range: &Range) -> Option<f64> {
        let by_range = self.crest.as_ref().map(|crest| crest.peak_limit_a(range));
        let by_clamp = self.clamp.saturation_peak_a();
        by_range.into_iter().chain(by_clamp).reduce(f64::min)
    }

    fn check_bandwidth(&self, mains_hz: f64) -> Result<()> {
        let highest_hz = match &self.bandwidth {
            Bandwidth::Unlimited => return Ok(()),
            Bandwidth::Poles(corners_hz) => corners_hz.iter().copied().reduce(f64::min),
            Bandwidth::Table(lines) => lines.last().map(|line| line.frequency_hz),
        };
        match highest_hz {
            Some(hz) if hz < mains_hz => Err(Error::inconsistent(format!(
                "the bandwidth of {hz} Hz is below the mains frequency of {mains_hz} Hz"
            ))
            .with_hint("is it in kHz?")),
            _ => Ok(()),
        }
    }

    fn check_window(&self, mains_hz: f64) -> Result<()> {
        if let Converter::Sampling { window: Window::Free { length_s }, .. } = self.converter
            && length_s * mains_hz < 1.0
        {
            return Err(Error::inconsistent(format!(
                "a window of {length_s} s is shorter than a period of {mains_hz} Hz"
            )));
        }
        Ok(())
    }

    fn check_digits(&self) -> Result<()> {
        let Some(counts) = self.display_counts else { return Ok(()) };
        Self::DISPLAY_COUNTS.check(f64::from(counts))?;
        for range in &self.ranges.list {
            let needed = range.full_scale_a / range.resolution_a;
            // Half a count is the rounding of a range that is given with fewer digits.
            if needed > f64::from(counts) + 0.5 {
                return Err(Error::inconsistent(format!(
                    "the range of {} A in steps of {} A needs {needed:.0} counts, the display has \
                     {counts}",
                    range.full_scale_a, range.resolution_a
                )));
            }
        }
        Ok(())
    }
}
