use super::{FieldPoint, FieldPower, FixtureKind, LoadSum, LoadTerm};

/// The sum of numbers beside what the solved circuit takes, and why they differ.
///
/// # Formula
/// S − S_sum = Σ of the terms: (electronics) P_calc − S_sum; (fixtures) P_lit − P_printed;
/// (cable) I² R − W_cable; (transformers) the rest of P − P_calc; (reactive) √(P² + Q₁²) − P;
/// (distortion) S − √(P² + Q₁²)
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadComparison {
    /// The load calculation.
    pub sum: LoadSum,
    /// The solved output.
    pub solved: FieldPower,
    /// Power in lamps and electronics of all lit fixtures; `None` where it cannot be told from that
    /// of transformers: behind rectifiers, or with a part of the loop bridged.
    pub fixtures_w: Option<f64>,
}

const ELECTRONICS: &str = "volt-amperes of electronics, counted as if they were watts";
const FIXTURES: &str = "lamps and electronics take less or more than printed: the cores keep a part \
                        of the loop current from them, and open or shorted fixtures take nothing";
const CABLE: &str = "cable, at the step's current instead of the rated one";
const TRANSFORMERS: &str = "transformers: losses of the model (cores, windings) instead of the loss \
                            shares of the calculation";
const ACTIVE: &str = "lamps, transformers and cable at their own solved currents instead of printed \
                      watts and loss shares; faults as described";
const EQUIPMENT: &str = "everything at its own solved current instead of printed figures; without a \
                         power factor electronics cannot be told from lamps";
const REACTIVE: &str = "reactive power of the fundamental (leakage, cores, open secondaries, \
                        electronics): numbers know no phase";
const DISTORTION: &str = "harmonics of current and voltage: the sum of numbers is for a sine";

impl LoadComparison {
    /// A load calculation beside the solved point of the same field.
    #[must_use]
    pub fn of(sum: LoadSum, point: &FieldPoint) -> Self {
        let field = point.load.field();
        let told = field.fault.is_none()
            && field.groups.iter().all(|group| !matches!(group.kind, FixtureKind::Rectifier(_)));
        let lit = point.groups.iter().map(|group| group.lit * group.fixture_w.unwrap_or(0.0));
        let fixtures_w = told.then(|| lit.sum());
        Self { sum, solved: point.power, fixtures_w }
    }

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
        let mut terms = match (self.sum.active_w, self.fixtures_w) {
            (Some(calculated_w), Some(fixtures_w)) => {
                let printed_w = calculated_w - self.sum.loss_w - self.sum.cable_w;
                let current_a = self.solved.current_rms_a;
                let cable_w = current_a * current_a * self.sum.cable_ohm;
                let transformers_w = active_w - fixtures_w - cable_w;
                vec![
                    term("electronics", calculated_w - sum_va, ELECTRONICS),
                    term("fixtures", fixtures_w - printed_w, FIXTURES),
                    term("transformers", transformers_w - self.sum.loss_w, TRANSFORMERS),
                    term("cable", cable_w - self.sum.cable_w, CABLE),
                ]
            }
            (Some(calculated_w), None) => vec![
                term("electronics", calculated_w - sum_va, ELECTRONICS),
                term("active", active_w - calculated_w, ACTIVE),
            ],
            (None, _) => vec![term("equipment", active_w - sum_va, EQUIPMENT)],
        };
        terms.push(term("reactive", phasor_va - active_w, REACTIVE));
        terms.push(term("distortion", self.solved.apparent_va - phasor_va, DISTORTION));
        terms
    }
}
