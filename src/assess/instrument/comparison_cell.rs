use super::{Connection, GainSpread, Suitability, Verdict};

/// One meter at one step of one circuit, in numbers that a table or a picture can hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ComparisonCell {
    /// Place of the meter.
    pub meter: usize,
    /// Place of the circuit.
    pub circuit: usize,
    /// Number of the step.
    pub step_number: u32,
    /// What the output is connected to.
    pub connection: Connection,
    /// The verdict.
    pub suitability: Suitability,
    /// Whether its voltage category forbids it there, see [`Verdict::danger`].
    pub is_dangerous: bool,
    /// Shown over true; `None` when the meter shows nothing.
    pub gain: Option<GainSpread>,
    /// Expanded uncertainty over the true current, reading dead centre; `None` when the sheet does not
    /// say enough.
    pub expanded_ratio: Option<f64>,
    /// Probability of conformance when the reading is dead centre; `None` as above.
    pub conformance_probability: Option<f64>,
    /// Share of the band left to set the current in; `None` without a set-band.
    pub kept_ratio: Option<f64>,
}

impl ComparisonCell {
    pub(super) fn of(verdict: &Verdict, meter: usize, circuit: usize) -> Self {
        let centre = verdict.dead_centre;
        Self {
            meter,
            circuit,
            step_number: verdict.step.number,
            connection: verdict.connection,
            suitability: verdict.suitability,
            is_dangerous: verdict.danger().is_some(),
            gain: verdict.gain,
            expanded_ratio: centre.map(|centre| centre.expanded.half_width / centre.true_a),
            conformance_probability: centre.map(|centre| centre.conformance_probability),
            kept_ratio: verdict.set_band.map(|set_band| set_band.kept_ratio),
        }
    }
}
