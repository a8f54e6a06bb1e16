use crate::circuit::Magnet;

use super::{FixtureGroup, IsolatingTransformer};

/// Open fixtures whose cores go through the same course: one flux for all of them.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct OpenClass {
    pub(super) name: String,
    /// Group and number of its fixtures.
    pub(super) members: Vec<(usize, f64)>,
    transformer: IsolatingTransformer,
    knee_wb: f64,
    core_loss_ohm: f64,
}

impl OpenClass {
    pub(super) fn new(group: usize, from: &FixtureGroup, count: f64, suffix: &str) -> Self {
        let transformer = from.transformer;
        Self {
            name: format!("{}, open{suffix}", from.name),
            members: vec![(group, count)],
            transformer,
            knee_wb: count * transformer.knee_wb(),
            core_loss_ohm: count * transformer.core_loss_ohm,
        }
    }

    /// Joins fixtures that carry the same current and differ by a factor in voltage only; says
    /// whether they were such.
    ///
    /// With λ = λ_k u: du/dt = (R_c/λ_k) (i − a u − b uⁿ). Equal a, b, n and R_c/λ_k make u equal.
    pub(super) fn join(&mut self, group: usize, from: &FixtureGroup, count: f64) -> bool {
        let (one, other) = (&self.transformer, &from.transformer);
        let same = |a: f64, b: f64| (a - b).abs() <= 1e-12 * a.abs();
        let alike = one.exponent == other.exponent
            && same(one.linear_a, other.linear_a)
            && same(one.power_a, other.power_a)
            && same(one.core_loss_ohm * other.knee_wb(), other.core_loss_ohm * one.knee_wb());
        if alike {
            self.members.push((group, count));
            self.knee_wb += count * other.knee_wb();
            self.core_loss_ohm += count * other.core_loss_ohm;
        }
        alike
    }

    pub(super) fn core_loss_ohm(&self) -> f64 {
        self.core_loss_ohm
    }

    pub(super) fn magnet(&self) -> Magnet {
        let t = &self.transformer;
        Magnet::OddPower {
            linear_a: t.linear_a,
            power_a: t.power_a,
            knee_wb: self.knee_wb,
            exponent: t.exponent,
        }
    }

    /// Voltage across one secondary over that of the whole class.
    pub(super) fn secondary_ratio(&self, transformer: &IsolatingTransformer) -> f64 {
        transformer.knee_wb() / self.knee_wb / transformer.turns_ratio()
    }
}
