use crate::circuit::Magnet;

use super::{FixtureGroup, FixtureKind, IsolatingTransformer};

/// Equal lit fixtures in series: one element with their number times the voltage of one.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct LitClass {
    /// Place of the group in the field.
    pub(super) group: usize,
    pub(super) name: String,
    pub(super) count: f64,
    /// Lamps in series on a secondary times the square of the turns ratio.
    ohm_factor: f64,
    pub(super) kind: FixtureKind,
    transformer: IsolatingTransformer,
    /// Whether the magnetising branch is part of the network.
    pub(super) magnetised: bool,
    /// RMS current in the secondary that the resistance belongs to.
    pub(super) secondary_rms_a: f64,
}

impl LitClass {
    pub(super) fn new(group: usize, from: &FixtureGroup, count: f64, suffix: &str) -> Self {
        let turns = from.transformer.turns_ratio();
        Self {
            group,
            name: format!("{}, lit{suffix}", from.name),
            count,
            ohm_factor: f64::from(from.lamps_per_fixture) * turns * turns,
            kind: from.kind,
            transformer: from.transformer,
            magnetised: false,
            secondary_rms_a: from.transformer.secondary_rms_a,
        }
    }

    /// Resistance of all of them together, seen from the loop.
    pub(super) fn resistance_ohm(&self) -> f64 {
        self.ohm_at(self.secondary_rms_a)
    }

    fn ohm_at(&self, secondary_rms_a: f64) -> f64 {
        self.count * self.ohm_factor * self.kind.resistance_ohm(secondary_rms_a)
    }

    /// Reactance over resistance.
    pub(super) fn reactance_ratio(&self) -> f64 {
        match self.kind {
            FixtureKind::ConstantPower(fixture) => fixture.reactance_ratio(),
            FixtureKind::Lamp(_) | FixtureKind::Apparent(_) | FixtureKind::Rectifier(_) => 0.0,
        }
    }

    pub(super) fn core_loss_ohm(&self) -> f64 {
        self.count * self.transformer.core_loss_ohm
    }

    pub(super) fn magnet(&self) -> Magnet {
        self.transformer.magnet(self.count)
    }

    pub(super) fn turns_ratio(&self) -> f64 {
        self.transformer.turns_ratio()
    }

    /// Share of the loop's current that goes through the fixtures and not through the core loss.
    fn divided_at(&self, secondary_rms_a: f64) -> f64 {
        let core_ohm = self.core_loss_ohm();
        core_ohm / (core_ohm + self.ohm_at(secondary_rms_a))
    }

    /// Secondary current at a loop current when the magnetising current is left out.
    ///
    /// Resistances share out every instant's current alike, so RMS values divide as well.
    pub(super) fn secondary_at(&self, loop_rms_a: f64) -> f64 {
        let whole_a = self.turns_ratio() * loop_rms_a;
        let mut secondary_rms_a = whole_a;
        // A lamp's resistance rises with its current: a contraction. Electronics may step to the
        // resistance they have below their least current; then the last value stands.
        for _ in 0..200 {
            let next_a = whole_a * self.divided_at(secondary_rms_a);
            if (next_a - secondary_rms_a).abs() <= 1e-14 * whole_a {
                return next_a;
            }
            secondary_rms_a = next_a;
        }
        secondary_rms_a
    }

    /// Peak magnetising current over peak loop current, both as sines at that loop current.
    pub(super) fn magnetising_ratio(&self, loop_rms_a: f64, frequency_hz: f64) -> f64 {
        let transformer = &self.transformer;
        let lamp_ohm = self.ohm_at(self.secondary_at(loop_rms_a)) / self.count;
        let fixture_ohm = 1.0 / (1.0 / lamp_ohm + 1.0 / transformer.core_loss_ohm);
        let peak_a = std::f64::consts::SQRT_2 * loop_rms_a;
        let flux_wb = fixture_ohm * peak_a / (std::f64::consts::TAU * frequency_hz);
        transformer.magnet(1.0).current_a(flux_wb) / peak_a
    }
}
