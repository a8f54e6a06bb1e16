use super::{FieldPower, LoadSum};

/// The sum of numbers beside what the solved circuit takes, and why they differ.
///
/// # Formula
/// S_solved − S_sum = (P_calc − S_sum) + (P − P_calc) + (√(P² + Q₁²) − P) + (S − √(P² + Q₁²)),
/// P_calc the calculated active power, P, Q₁ and S of the solved output
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadComparison {
    /// The load calculation.
    pub sum: LoadSum,
    /// The solved output.
    pub solved: FieldPower,
}

/// One reason for a difference, with its share of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadTerm {
    /// Stable short name.
    pub key: &'static str,
    /// What it adds to the sum of numbers.
    pub difference_va: f64,
    /// The reason in words.
    pub words: &'static str,
}

const COUNTED: &str = "volt-amperes of electronics counted as if they were watts";
const TAKEN: &str = "lamps, transformers and cable at their own solved currents instead of printed \
                     watts and loss shares; lamps out and faults as described";
const EQUIPMENT: &str = "everything at its own solved current instead of printed figures; no power \
                         factor is known that would tell electronics from lamps";
const REACTIVE: &str = "reactive power of the fundamental: leakage, magnetising current, open \
                        secondaries, electronics; numbers do not know phases";
const DISTORTION: &str = "harmonics of current and voltage; the sum of numbers is for a sine";

impl LoadComparison {
    /// Solved minus calculated.
    #[must_use]
    pub fn difference_va(&self) -> f64 {
        self.solved.apparent_va - self.sum.apparent_va()
    }

    /// The reasons; their differences add up to the whole.
    #[must_use]
    pub fn terms(&self) -> Vec<LoadTerm> {
        let (sum_va, active_w) = (self.sum.apparent_va(), self.solved.active_w);
        let phasor_va = active_w.hypot(self.solved.fundamental_reactive_var);
        let term = |key, difference_va, words| LoadTerm { key, difference_va, words };
        let mut terms = match self.sum.active_w {
            Some(calculated_w) => vec![
                term("electronics", calculated_w - sum_va, COUNTED),
                term("active", active_w - calculated_w, TAKEN),
            ],
            None => vec![term("equipment", active_w - sum_va, EQUIPMENT)],
        };
        terms.push(term("reactive", phasor_va - active_w, REACTIVE));
        terms.push(term("distortion", self.solved.apparent_va - phasor_va, DISTORTION));
        terms
    }
}
