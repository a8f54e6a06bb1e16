use crate::error::Result;
use crate::meter::{CrestCapability, Detector, Range, Sheet, Signal, Simulation, WindowStart};
use crate::waveform::Coupling;

use super::super::bank::BankPoint;
use super::{AVERAGE, PEAK, gain};

/// What may be wrong with a meter that stands beside a reference: each says what it would show.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Fault {
    /// It responds to the average.
    Average,
    /// It responds to the peak.
    Peak,
    /// The conductor passes twice through its clamp.
    TwoTurns,
    /// Its clamp is set ten times too coarse: a tenth is shown.
    Tenth,
    /// It did not stand on zero.
    ZeroOffset,
    /// Its gain is off.
    Gain,
    /// Its range clips the peaks, at so many amperes.
    Clipped(f64),
    /// Its display was on hold since the first step.
    Hold,
}

/// A current that the reference showed, with its shape.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seen<'a> {
    pub(super) point: &'a BankPoint,
    pub(super) true_a: f64,
}

impl Fault {
    /// The statement on a sheet.
    pub(super) fn words(self) -> String {
        match self {
            Self::Average => "It responds to the average and is scaled for a sine.".into(),
            Self::Peak => "It responds to the peak and is scaled for a sine.".into(),
            Self::TwoTurns => "The conductor passes twice through its clamp.".into(),
            Self::Tenth => "Clamp and display are set to different ranges: a factor of ten.".into(),
            Self::ZeroOffset => "It did not stand on zero with nothing in its clamp.".into(),
            Self::Gain => "It is out of calibration: its gain is off.".into(),
            Self::Clipped(limit_a) => {
                format!("It measures true RMS, but its range clips peaks above {limit_a:.1} A.")
            }
            Self::Hold => "Its display was on hold since the first step.".into(),
        }
    }

    /// Why the numbers say so.
    pub(super) fn reason(self) -> &'static str {
        match self {
            Self::Average => "shown = true x 1.1107 / form factor fits every row",
            Self::Peak => "shown = true x crest factor / 1.4142 fits every row",
            Self::TwoTurns => "every row shows twice the reference",
            Self::Tenth => "every row shows a tenth of the reference",
            Self::ZeroOffset => "every row is off by the same number of amperes",
            Self::Gain => "every row is off by the same percentage",
            Self::Clipped(_) => {
                "only the rows whose peak (reference x crest factor) is above the limit are low"
            }
            Self::Hold => "every row shows the number of the first",
        }
    }

    /// What the meter would show of each current; `free` is the offset in amperes or the gain where
    /// the fault has one. `None` where it would show no number.
    pub(super) fn shown_a(self, seen: &[Seen<'_>], free: f64) -> Result<Option<Vec<f64>>> {
        if let Self::Clipped(limit_a) = self {
            return clipped_a(seen, limit_a);
        }
        let first_a = seen.first().map_or(0.0, |seen| seen.true_a);
        Ok(Some(
            seen.iter()
                .map(|Seen { point, true_a }| match self {
                    Self::Average => gain(AVERAGE, point) * true_a,
                    Self::Peak => gain(PEAK, point) * true_a,
                    Self::TwoTurns => 2.0 * true_a,
                    Self::Tenth => 0.1 * true_a,
                    Self::ZeroOffset => true_a + free,
                    Self::Gain => free * true_a,
                    Self::Hold => first_a,
                    Self::Clipped(_) => *true_a,
                })
                .collect(),
        ))
    }

    /// The free number that fits what was shown best; 0 for a fault without one.
    pub(super) fn fitted(self, seen: &[Seen<'_>], shown_a: &[f64]) -> f64 {
        let pairs = || seen.iter().map(|seen| seen.true_a).zip(shown_a);
        match self {
            // Best in the sense of the largest relative miss would be kinder to the fault by a little;
            // squares are what a person can follow.
            Self::ZeroOffset => {
                pairs().map(|(true_a, shown_a)| shown_a - true_a).sum::<f64>() / seen.len() as f64
            }
            Self::Gain => {
                pairs().map(|(true_a, shown_a)| shown_a / true_a).sum::<f64>() / seen.len() as f64
            }
            _ => 0.0,
        }
    }

    /// Largest miss of the fault against what was shown, over the reference; infinite where it would
    /// show no number.
    pub(super) fn miss_ratio(self, seen: &[Seen<'_>], shown_a: &[f64]) -> Result<f64> {
        let free = self.fitted(seen, shown_a);
        let Some(predicted) = self.shown_a(seen, free)? else { return Ok(f64::INFINITY) };
        let misses = predicted.iter().zip(shown_a).zip(seen);
        Ok(misses
            .map(|((predicted_a, shown_a), seen)| ((predicted_a - shown_a) / seen.true_a).abs())
            .fold(0.0, f64::max))
    }
}

/// A true-RMS meter whose front end clips, by the engine's own front end.
fn clipped_a(seen: &[Seen<'_>], limit_a: f64) -> Result<Option<Vec<f64>>> {
    let mut sheet = Sheet::ideal(Detector::TrueRms(Coupling::Ac));
    let range = Range { full_scale_a: limit_a, resolution_a: 1e-6 };
    sheet.ranges.list = vec![range];
    sheet.crest = Some(CrestCapability { at_full_scale: 1.0, cap: None, bands: vec![] });
    let simulation = Simulation::new(sheet, 60.0)?;
    let mut shown = Vec::with_capacity(seen.len());
    for Seen { point, true_a } in seen {
        let waveform = point.waveform.scaled(true_a / point.measures.dc.rms_a)?;
        let read = simulation.read(&Signal::of(&waveform), WindowStart::Anywhere)?;
        let Some(reading) = read.shown() else { return Ok(None) };
        shown.push(reading.shown_a());
    }
    Ok(Some(shown))
}
