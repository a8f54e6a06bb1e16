use crate::error::Result;

use super::super::Samples;
use super::{CycleWindow, HalfCycle, PeriodAnalyser, PeriodOptions, PeriodRow, PeriodSink};

/// Every row of a record, held in memory: for records of ordinary length.
///
/// # Example
/// ```
/// use loopcrest::capture::{PeriodOptions, PeriodTable, Samples};
/// let sine = |k: i32| 2.0 * (std::f64::consts::TAU * f64::from(k) / 80.0).sin();
/// let samples = Samples::new((0..4000).map(sine).collect(), 4000.0).unwrap();
/// let table = PeriodTable::of(&samples, &PeriodOptions::default()).unwrap();
/// assert!((table.periods[0].measures.dc.rms_a - 2.0_f64.sqrt()).abs() < 1e-6);
/// assert_eq!(table.windows[0].cycles, 10);
/// ```
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PeriodTable {
    /// Every period.
    pub periods: Vec<PeriodRow>,
    /// Every half cycle.
    pub half_cycles: Vec<HalfCycle>,
    /// Every window of 10 or 12 cycles.
    pub windows: Vec<CycleWindow>,
}

impl PeriodTable {
    /// All rows of a record in memory.
    ///
    /// # Errors
    /// As [`PeriodAnalyser::frequency_of`] and [`PeriodAnalyser::push`].
    pub fn of(samples: &Samples, options: &PeriodOptions) -> Result<Self> {
        let frequency_hz = PeriodAnalyser::frequency_of(samples, options)?;
        let mut analyser =
            PeriodAnalyser::new(samples.sample_rate_hz(), frequency_hz, options.clone())?;
        let mut table = Self::default();
        analyser.push(samples.raw_a(), &mut table)?;
        analyser.finish(&mut table)?;
        Ok(table)
    }
}

impl PeriodSink for PeriodTable {
    fn period(&mut self, row: &PeriodRow) -> Result<()> {
        self.periods.push(row.clone());
        Ok(())
    }

    fn half_cycle(&mut self, half: &HalfCycle) -> Result<()> {
        self.half_cycles.push(*half);
        Ok(())
    }

    fn window(&mut self, window: &CycleWindow) -> Result<()> {
        self.windows.push(window.clone());
        Ok(())
    }
}
