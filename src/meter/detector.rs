use std::f64::consts::{FRAC_1_SQRT_2, PI, SQRT_2};

use crate::waveform::{Coupling, Measures};

use super::{Indication, Reading};

/// The law by which a meter turns a current into a number.
///
/// # Formula
/// true RMS: I; average-responding: π/(2√2) · arv; peak-responding: peak/√2.
///
/// # Source
/// Form factor π/(2√2) = 1.1107 and crest factor √2 of a sine: closed forms.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Detector {
    /// Computes the RMS.
    TrueRms(Coupling),
    /// Rectifies, averages, and is scaled to read the RMS of a sine.
    AverageResponding(Coupling),
    /// Holds the peak, and is scaled to read the RMS of a sine.
    PeakResponding(Coupling),
    /// Moving-iron movement: its torque follows the square of the current, mean included.
    MovingIron,
    /// Moving coil behind a bridge rectifier: average of the rectified current, mean included.
    RectifierMovingCoil,
}

impl Detector {
    /// Every law, in the order of tables and plots.
    pub const ALL: [Self; 8] = [
        Self::TrueRms(Coupling::Ac),
        Self::TrueRms(Coupling::Dc),
        Self::AverageResponding(Coupling::Ac),
        Self::AverageResponding(Coupling::Dc),
        Self::PeakResponding(Coupling::Ac),
        Self::PeakResponding(Coupling::Dc),
        Self::MovingIron,
        Self::RectifierMovingCoil,
    ];

    /// Scale of an average-responding meter: the form factor of a sine.
    pub const AVERAGE_SCALE: f64 = PI / (2.0 * SQRT_2);
    /// Scale of a peak-responding meter: one over the crest factor of a sine.
    pub const PEAK_SCALE: f64 = FRAC_1_SQRT_2;

    /// Whether the mean of the current reaches the detector.
    #[must_use]
    pub fn coupling(self) -> Coupling {
        match self {
            Self::TrueRms(coupling)
            | Self::AverageResponding(coupling)
            | Self::PeakResponding(coupling) => coupling,
            Self::MovingIron | Self::RectifierMovingCoil => Coupling::Dc,
        }
    }

    /// What the number on the face stands for.
    #[must_use]
    pub fn indication(self) -> Indication {
        match self {
            Self::TrueRms(_) | Self::MovingIron => Indication::TrueRms,
            Self::AverageResponding(_) | Self::RectifierMovingCoil => {
                Indication::AverageScaledToRms
            }
            Self::PeakResponding(_) => Indication::PeakScaledToRms,
        }
    }

    /// What an ideal meter with this law shows of a current with these measures.
    #[must_use]
    pub fn read(self, measures: &Measures) -> Reading {
        let coupled = measures.coupled(self.coupling());
        let shown_a = match self.indication() {
            Indication::TrueRms => coupled.rms_a,
            Indication::AverageScaledToRms => Self::AVERAGE_SCALE * coupled.arv_a,
            Indication::PeakScaledToRms => Self::PEAK_SCALE * coupled.peak_a,
        };
        Reading::new(self.indication(), shown_a)
    }

    /// Plain words for tables.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Self::TrueRms(coupling) => format!("true RMS, {}", coupling.words()),
            Self::AverageResponding(coupling) => {
                format!("average-responding, {}", coupling.words())
            }
            Self::PeakResponding(coupling) => format!("peak-responding, {}", coupling.words()),
            Self::MovingIron => "moving iron".into(),
            Self::RectifierMovingCoil => "rectifier moving coil".into(),
        }
    }

    /// The name used in files and on the command line.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::TrueRms(Coupling::Ac) => "true-rms",
            Self::TrueRms(Coupling::Dc) => "true-rms-dc",
            Self::AverageResponding(Coupling::Ac) => "average",
            Self::AverageResponding(Coupling::Dc) => "average-dc",
            Self::PeakResponding(Coupling::Ac) => "peak",
            Self::PeakResponding(Coupling::Dc) => "peak-dc",
            Self::MovingIron => "moving-iron",
            Self::RectifierMovingCoil => "rectifier-coil",
        }
    }

    /// The law with that name.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|law| law.key() == key)
    }
}
