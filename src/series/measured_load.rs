use crate::error::{Bounds, Result};
use crate::regulator::{Band, Placement};
use crate::waveform::TrueRms;

use super::LoadDiagnosis;

/// What was read at a regulator's output on the brightest step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeasuredLoad {
    current: TrueRms,
    voltage_rms_v: f64,
}

impl MeasuredLoad {
    /// Measured current.
    pub const CURRENT_A: Bounds = Bounds::new("measured current", "A", 0.01, 100.0);
    /// Measured voltage.
    pub const VOLTAGE_V: Bounds = Bounds::new("measured voltage", "V", 0.1, 20_000.0);

    /// Below this share of the calculated load, part of the field is bridged. Ours: the printed
    /// cases lie at 105 % (satisfactory) and 69 % (partial short).
    pub const SHORT_BELOW_RATIO: f64 = 0.85;
    /// Above this share, something is on the loop that was not calculated. Ours, the same way up.
    pub const MORE_ABOVE_RATIO: f64 = 1.15;

    /// A reading by true-RMS meters.
    ///
    /// # Errors
    /// `OutOfRange` for a current or a voltage out of bounds.
    pub fn new(current: TrueRms, voltage_rms_v: f64) -> Result<Self> {
        Self::CURRENT_A.check(current.a())?;
        Self::VOLTAGE_V.check(voltage_rms_v)?;
        Ok(Self { current, voltage_rms_v })
    }

    /// The current read.
    #[must_use]
    pub fn current(&self) -> TrueRms {
        self.current
    }

    /// The voltage read.
    #[must_use]
    pub fn voltage_rms_v(&self) -> f64 {
        self.voltage_rms_v
    }

    /// Current times voltage.
    #[must_use]
    pub fn apparent_va(&self) -> f64 {
        self.current.a() * self.voltage_rms_v
    }

    /// What the reading says of regulator and field.
    ///
    /// The current is judged first: a regulator that does not hold its band says nothing about the
    /// field. `calculated_va` is the calculated load, `rated_va` what the regulator (on its tap) is
    /// rated for.
    ///
    /// # Source
    /// UFC 3-535-01 (17 November 2005), figure 15-4: three measured cases and what they mean. The
    /// shares at which one becomes the other are ours, and so are the cases it does not print.
    #[must_use]
    pub fn diagnose(&self, band: &Band, calculated_va: f64, rated_va: f64) -> LoadDiagnosis {
        let share = self.apparent_va() / calculated_va;
        match band.place(self.current) {
            Placement::High => LoadDiagnosis::RegulatorHigh,
            Placement::Low if self.apparent_va() > rated_va || calculated_va > rated_va => {
                LoadDiagnosis::Overloaded
            }
            Placement::Low => LoadDiagnosis::RegulatorLow,
            Placement::Inside if share < Self::SHORT_BELOW_RATIO => LoadDiagnosis::PartialShort,
            Placement::Inside if share > Self::MORE_ABOVE_RATIO => {
                LoadDiagnosis::MoreThanCalculated
            }
            Placement::Inside => LoadDiagnosis::Satisfactory,
        }
    }
}
