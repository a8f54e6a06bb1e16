use std::fmt::Write as _;

use crate::error::{Bounds, Error, Result};
use crate::waveform::Waveform;

/// One period of a current for a signal generator: points evenly over the period, normalised so that
/// the largest is 1 or −1.
#[derive(Clone, Debug)]
pub struct GeneratorTable {
    /// The points.
    pub values: Vec<f64>,
    /// Amperes that 1 stands for.
    pub amperes_per_unit: f64,
    /// Times a second the table is to be gone through.
    pub frequency_hz: f64,
}

impl GeneratorTable {
    /// Points of a period.
    pub const POINTS: Bounds = Bounds::new("points of the table", "", 16.0, 65_536.0);

    /// The table of a current's averaged period, between the grid's points on a straight line.
    ///
    /// # Errors
    /// `OutOfRange` for a number of points out of [`Self::POINTS`]; `Inconsistent` for a current that is
    /// zero.
    pub fn of(current: &Waveform, points: usize) -> Result<Self> {
        Self::POINTS.check(points as f64)?;
        let period = current.averaged_period();
        let held = period.samples_a();
        let at = |k: usize| {
            let place = k as f64 * held.len() as f64 / points as f64;
            let (at, part) = (place as usize % held.len(), place.fract());
            part.mul_add(held[(at + 1) % held.len()] - held[at], held[at])
        };
        let amperes: Vec<f64> = (0..points).map(at).collect();
        let peak_a = amperes.iter().map(|i_a| i_a.abs()).fold(0.0, f64::max);
        if peak_a <= 0.0 {
            return Err(Error::inconsistent("a current of zero cannot be normalised"));
        }
        Ok(Self {
            values: amperes.into_iter().map(|i_a| i_a / peak_a).collect(),
            amperes_per_unit: peak_a,
            frequency_hz: period.frequency_hz(),
        })
    }

    /// The values alone, one on each line: what most generators take.
    #[must_use]
    pub fn plain(&self) -> String {
        let mut text = String::new();
        for value in &self.values {
            let _ = writeln!(text, "{value:.9}");
        }
        text
    }

    /// Time, value and current with their names and units.
    #[must_use]
    pub fn csv(&self) -> String {
        let mut text = String::from("time in ms,value,current in A\n");
        let cell_ms = 1e3 / (self.frequency_hz * self.values.len() as f64);
        for (k, value) in self.values.iter().enumerate() {
            let current_a = value * self.amperes_per_unit;
            let _ = writeln!(text, "{:.9},{value:.9},{current_a:.9}", k as f64 * cell_ms);
        }
        text
    }
}
