use std::sync::OnceLock;

use crate::error::Result;
use crate::meter::Sheet;
use crate::waveform::Waveform;

use super::chain;
use super::front_end::FrontEnd;
use super::{Signal, SimulatedReading, WindowStart};

/// A meter with a data sheet, ready to read currents.
///
/// # Example
/// ```
/// use loopcrest::meter::{Archetype, Cause, Simulation};
/// use loopcrest::waveform::{Scale, Shape, Synthesis};
/// let sine = Synthesis::new(Shape::Sine, Scale::RmsA(6.6)).waveform().unwrap();
/// let meter = Simulation::new(Archetype::GeneralTrueRmsClamp.sheet(), 60.0).unwrap();
/// let reading = meter.read_waveform(&sine).unwrap();
/// assert_eq!(reading.shown().unwrap().shown_a(), 6.6);
/// assert!(reading.breakdown.error_a(Cause::Bandwidth).abs() < 1e-12);
/// ```
#[derive(Debug)]
pub struct Simulation {
    sheet: Sheet,
    ambient_degc: Option<f64>,
    /// The gains of the first grid seen: the same for every current of one solver or record.
    front_end: OnceLock<FrontEnd>,
}

impl Simulation {
    /// A meter for a mains frequency.
    ///
    /// # Errors
    /// As [`Sheet::check`].
    pub fn new(sheet: Sheet, mains_hz: f64) -> Result<Self> {
        sheet.check(mains_hz)?;
        Ok(Self { sheet, ambient_degc: None, front_end: OnceLock::new() })
    }

    /// The same meter at a temperature.
    #[must_use]
    pub fn at_degc(mut self, ambient_degc: f64) -> Self {
        self.ambient_degc = Some(ambient_degc);
        self
    }

    /// Its data sheet.
    #[must_use]
    pub fn sheet(&self) -> &Sheet {
        &self.sheet
    }

    /// What it shows of a current that was made ready for many meters.
    ///
    /// # Formula
    /// Front end: Y_k = G_k X_k over the transform of the whole record, then offset, clipping at the
    /// peak limit, the law over the window, codes of the converter, rounding to the last digit.
    ///
    /// # Validity
    /// The grid of the waveform is kept, so that nothing is resampled: what the grid holds is read.
    /// The range is chosen by the unclipped reading. Noise is added to the sums of the law, not to
    /// the samples.
    ///
    /// # Errors
    /// `Inconsistent` only for a sheet without ranges, which [`Simulation::new`] refuses.
    pub fn read(&self, signal: &Signal<'_>, start: WindowStart) -> Result<SimulatedReading> {
        let kept = self.front_end.get_or_init(|| FrontEnd::new(&self.sheet, signal));
        if kept.is_for(&self.sheet, signal) {
            chain::read(&self.sheet, kept, signal, start, self.ambient_degc)
        } else {
            let own = FrontEnd::new(&self.sheet, signal);
            chain::read(&self.sheet, &own, signal, start, self.ambient_degc)
        }
    }

    /// What it shows of one waveform, the window beginning anywhere.
    ///
    /// # Errors
    /// As [`Self::read`].
    pub fn read_waveform(&self, waveform: &Waveform) -> Result<SimulatedReading> {
        self.read(&Signal::of(waveform), WindowStart::Anywhere)
    }
}
