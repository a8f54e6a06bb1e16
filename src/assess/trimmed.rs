use crate::lamp::LampEffect;
use crate::regulator::Placement;
use crate::waveform::TrueRms;

/// The step after trimming by a meter to its nominal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trimmed {
    /// The true RMS current that then flows.
    pub true_rms: TrueRms,
    /// Where it lies against the band.
    pub placement: Placement,
    /// How much of the way to the band's edge it has gone; above 1 is outside.
    pub band_share_ratio: Option<f64>,
    /// What it does to the lamps, against the step's nominal.
    pub effect: LampEffect,
}
