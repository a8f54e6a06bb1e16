//! Fields the tests share.

use loopcrest::regulator::{
    BandSet, CircuitClass, ResonantRegulator, SolveOptions, Step, StepTable,
};
use loopcrest::series::{
    Field, FieldLoad, FieldPoint, FilamentLamp, FixtureGroup, FixtureKind, IsolatingTransformer,
};

/// The generic regulator of the design notes: 10 kW, 6.6 A, 60 Hz.
pub(crate) fn generic() -> ResonantRegulator {
    ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap()
}

/// The five published steps of a 6.6 A loop, the dimmest first.
pub(crate) fn steps() -> Vec<Step> {
    let class = CircuitClass::FiveStep6A6;
    let mut steps =
        StepTable::published(class, BandSet::default_for(class)).unwrap().steps().to_vec();
    steps.sort_by_key(|step| step.number);
    steps
}

/// The generic 200 W transformer without winding and leakage, as the reference solutions have it.
pub(crate) fn bare_transformer() -> IsolatingTransformer {
    let generic = IsolatingTransformer::generic(200.0, 6.6, 6.6, 60.0).unwrap();
    IsolatingTransformer { winding_ohm: 0.0, leakage_h: 0.0, ..generic }
}

/// The reference field: 50 fixtures, together with their cores 0.6 x 230 ohm when all are lit, at
/// any current.
pub(crate) fn reference_field(open: u32) -> Field {
    let fixture_ohm = 0.6 * 230.0 / 50.0;
    // The reference has no core loss at lit fixtures: here lamp and core make its resistance.
    let lamp_ohm = 1.0 / (1.0 / fixture_ohm - 1.0 / 150.0);
    let lamp = FilamentLamp {
        rated_power_w: lamp_ohm * 6.6 * 6.6,
        rated_rms_a: 6.6,
        current_exponent: 1.0,
    };
    let group = FixtureGroup::new("edge", 50, FixtureKind::Lamp(lamp), bare_transformer()).unwrap();
    Field { groups: vec![group.with_open(open).unwrap()], ..Field::default() }
}

/// A group of filament lamps on generic transformers of a size.
pub(crate) fn lamps(name: &str, count: u32, power_w: f64, transformer_w: f64) -> FixtureGroup {
    let lamp = FilamentLamp::new(power_w, 6.6).unwrap();
    let transformer = IsolatingTransformer::generic(transformer_w, 6.6, 6.6, 60.0).unwrap();
    FixtureGroup::new(name, count, FixtureKind::Lamp(lamp), transformer).unwrap()
}

/// A field of the generic regulator's rating at a current it holds.
pub(crate) fn hold(field: &Field, target_a: f64, start: Option<&FieldPoint>) -> FieldPoint {
    let load = FieldLoad::new(field, 6.6, 60.0).unwrap();
    let answer = load.hold(&generic(), target_a, start, &SolveOptions::default());
    answer.unwrap().held().unwrap()
}
