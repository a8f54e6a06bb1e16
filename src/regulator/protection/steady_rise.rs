use super::ProtectionLaw;

/// A current that jumps from one steady value to another: the case with a closed form.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SteadyRise {
    /// True RMS before, over rated current.
    pub before_ratio: f64,
    /// True RMS after, over rated current.
    pub after_ratio: f64,
    /// The detector's number over the true RMS of this shape of current; 1 for a true-RMS detector.
    pub gain: f64,
}

impl SteadyRise {
    /// After how many half cycles a detector shows a pick-up; `None` when it never does.
    ///
    /// # Formula
    /// With N half cycles in the window, k of them after the rise, m₀ and m before and after, p the
    /// pick-up over the gain: true RMS ((N−k) m₀² + k m²)/N ≥ p², so k = ⌈N (p² − m₀²)/(m² − m₀²)⌉;
    /// average the same without squares; peak k = 1; never less than 1.
    #[must_use]
    pub fn half_cycles_to(
        &self,
        law: ProtectionLaw,
        pickup_ratio: f64,
        window_half_cycles: usize,
    ) -> Option<usize> {
        let wanted = pickup_ratio / self.gain;
        // What the simulated detector finds equal to rounding is equal here too.
        if self.after_ratio < wanted * (1.0 - 1e-9) {
            return None;
        }
        let law_of = |ratio: f64| match law {
            ProtectionLaw::TrueRms => ratio * ratio,
            ProtectionLaw::Average | ProtectionLaw::Peak => ratio,
        };
        let (before, after) = (law_of(self.before_ratio), law_of(self.after_ratio));
        if law == ProtectionLaw::Peak || after <= before {
            return Some(1);
        }
        let share = (law_of(wanted) - before) / (after - before);
        let count = (window_half_cycles as f64 * share - super::protection::ROUNDING).ceil();
        Some(count.clamp(1.0, window_half_cycles as f64) as usize)
    }
}
