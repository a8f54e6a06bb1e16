//! Tolerances of ours for everything a description says nothing about.

use std::f64::consts::PI;

use crate::uncertainty::Distribution;

use super::{Description, Parameter, Tolerance};

/// How a default is spread around a number.
#[derive(Clone, Copy)]
enum Spread {
    /// Normal, standard uncertainty over the number.
    Normal(f64),
    /// Rectangular, half-width over the number.
    Rectangular(f64),
    /// From 0 to this, or to twice the number when that is more.
    UpTo(f64),
    /// Rectangular, half-width in the number's own unit.
    Within(f64),
    /// Any angle.
    AnyAngle,
}

/// Key, group, spread. No source: ours, wide enough for a machine nobody has measured.
const GENERIC: [(&str, &str, Spread); 16] = [
    ("regulator.values.capacitor-reactance", "capacitor", Spread::Rectangular(0.05)),
    ("regulator.values.input-reactance", "reactors", Spread::Rectangular(0.05)),
    ("regulator.values.control-reactance", "reactors", Spread::Rectangular(0.05)),
    ("regulator.values.output-reactance", "reactors", Spread::Rectangular(0.05)),
    ("regulator.values.iron-knee", "iron knee", Spread::Normal(0.03)),
    ("supply.voltage", "supply voltage", Spread::Normal(0.02)),
    ("supply.harmonic.5", "supply distortion", Spread::UpTo(0.03)),
    ("supply.harmonic.5.phase", "supply distortion", Spread::AnyAngle),
    ("supply.harmonic.7", "supply distortion", Spread::UpTo(0.02)),
    ("supply.harmonic.7.phase", "supply distortion", Spread::AnyAngle),
    ("regulator.load", "load", Spread::Normal(0.03)),
    ("field.lamp-power", "lamp power", Spread::Normal(0.03)),
    ("field.open-share", "lamps out", Spread::UpTo(0.10)),
    ("field.cable.temperature", "temperature", Spread::Within(20.0)),
    // Copper changes by 10 % in 25 K.
    ("regulator.values.input-resistance", "temperature", Spread::Rectangular(0.10)),
    ("regulator.values.control-resistance", "temperature", Spread::Rectangular(0.10)),
];

/// The defaults for a description, in the order of listings.
pub(super) fn of(description: &Description) -> Vec<Tolerance> {
    let tolerance = |(key, group, spread): &(&str, &str, Spread)| {
        let parameter = Parameter::find(description, key).ok()?;
        let distribution = around(parameter.nominal(), *spread).check().ok()?;
        let group = (*group).to_owned();
        Some(Tolerance { parameter, distribution, group, is_generic: true })
    };
    GENERIC.iter().filter_map(tolerance).collect()
}

/// The group a number belongs to when the file does not say.
pub(super) fn group_of(parameter: &Parameter) -> String {
    let known = GENERIC.iter().find(|(key, _, _)| *key == parameter.key());
    known.map_or_else(|| parameter.words().to_owned(), |(_, group, _)| (*group).to_owned())
}

fn around(nominal: f64, spread: Spread) -> Distribution {
    match spread {
        Spread::Normal(ratio) => {
            Distribution::Normal { mean: nominal, standard_uncertainty: ratio * nominal.abs() }
        }
        Spread::Rectangular(ratio) => {
            let half = ratio * nominal.abs();
            Distribution::Rectangular { low: nominal - half, high: nominal + half }
        }
        Spread::UpTo(high) => Distribution::Rectangular { low: 0.0, high: high.max(2.0 * nominal) },
        Spread::Within(half) => {
            Distribution::Rectangular { low: nominal - half, high: nominal + half }
        }
        Spread::AnyAngle => Distribution::Rectangular { low: -PI, high: PI },
    }
}
