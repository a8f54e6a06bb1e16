//! Where the numbers of a description are kept, by their dotted names.

use std::f64::consts::TAU;

use crate::error::{Bounds, Error, Result};
use crate::regulator::Supply;
use crate::units::Dimension;

use super::field_place::FieldPlace;
use super::regulator_number::NUMBERS;
use super::{Description, RegulatorSetup};

/// The place of one number.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum ParameterPlace {
    /// A number every regulator has.
    Regulator(usize),
    /// Amplitude of a supply harmonic.
    HarmonicRatio(u32),
    /// Phase of a supply harmonic.
    HarmonicPhase(u32),
    /// A number of the field.
    Field(FieldPlace),
}

/// Phase of a supply harmonic.
const PHASE_RAD: Bounds = Bounds::new("phase of a supply harmonic", "rad", -TAU, TAU);
/// Orders a harmonic of the supply may be given.
const ORDERS: std::ops::RangeInclusive<u32> = 2..=60;
/// Orders that are listed although the supply does not have them: what rectifiers draw.
const LISTED_ORDERS: [u32; 4] = [3, 5, 7, 11];

/// Every place of a description, in the order of listings.
pub(super) fn all(description: &Description) -> Vec<ParameterPlace> {
    let Some(setup) = &description.regulator else { return Vec::new() };
    let mut orders: Vec<u32> =
        setup.regulator.supply.harmonics.iter().map(|(order, _, _)| *order).collect();
    orders.extend(LISTED_ORDERS);
    orders.sort_unstable();
    orders.dedup();
    let harmonics = orders
        .into_iter()
        .flat_map(|n| [ParameterPlace::HarmonicRatio(n), ParameterPlace::HarmonicPhase(n)]);
    let field = FieldPlace::all(description).into_iter().map(ParameterPlace::Field);
    (0..NUMBERS.len()).map(ParameterPlace::Regulator).chain(harmonics).chain(field).collect()
}

impl ParameterPlace {
    pub(super) fn from_key(key: &str) -> Option<Self> {
        if let Some(at) = NUMBERS.iter().position(|number| number.key == key) {
            return Some(Self::Regulator(at));
        }
        if let Some(place) = FieldPlace::from_key(key) {
            return Some(Self::Field(place));
        }
        let rest = key.strip_prefix("supply.harmonic.")?;
        let (order, is_phase) = match rest.strip_suffix(".phase") {
            Some(order) => (order, true),
            None => (rest, false),
        };
        let order = order.parse().ok().filter(|order| ORDERS.contains(order))?;
        Some(if is_phase { Self::HarmonicPhase(order) } else { Self::HarmonicRatio(order) })
    }

    pub(super) fn key(&self) -> String {
        match self {
            Self::Regulator(at) => NUMBERS[*at].key.to_owned(),
            Self::HarmonicRatio(order) => format!("supply.harmonic.{order}"),
            Self::HarmonicPhase(order) => format!("supply.harmonic.{order}.phase"),
            Self::Field(place) => place.key(),
        }
    }

    pub(super) fn words(&self) -> String {
        match self {
            Self::Regulator(at) => NUMBERS[*at].words.to_owned(),
            Self::HarmonicRatio(order) => format!("supply harmonic {order}"),
            Self::HarmonicPhase(order) => format!("phase of supply harmonic {order}"),
            Self::Field(place) => place.words(),
        }
    }

    pub(super) fn dimension(&self) -> Dimension {
        match self {
            Self::Regulator(at) => NUMBERS[*at].dimension,
            Self::HarmonicRatio(_) => Dimension::Ratio,
            Self::HarmonicPhase(_) => Dimension::Angle,
            Self::Field(place) => place.dimension(),
        }
    }

    pub(super) fn bounds(&self) -> Bounds {
        match self {
            Self::Regulator(at) => NUMBERS[*at].bounds,
            Self::HarmonicRatio(_) => Supply::HARMONIC_RATIO,
            Self::HarmonicPhase(_) => PHASE_RAD,
            Self::Field(place) => place.bounds(),
        }
    }

    /// The number there; `None` when the description has no such place.
    pub(super) fn get(&self, description: &Description) -> Option<f64> {
        let setup = description.regulator.as_ref()?;
        let found = |wanted: u32| {
            setup.regulator.supply.harmonics.iter().find(|(order, _, _)| *order == wanted)
        };
        Some(match self {
            Self::Regulator(at) => (NUMBERS[*at].get)(setup),
            Self::HarmonicRatio(order) => found(*order).map_or(0.0, |(_, ratio, _)| *ratio),
            Self::HarmonicPhase(order) => found(*order).map_or(0.0, |(_, _, phase)| *phase),
            Self::Field(place) => return place.get(description),
        })
    }

    pub(super) fn set(&self, description: &mut Description, value: f64) -> Result<()> {
        if let Self::Field(place) = self {
            return place.set(description, value);
        }
        let setup = description
            .regulator
            .as_mut()
            .ok_or_else(|| Error::inconsistent("the description has no regulator to vary"))?;
        match self {
            Self::Regulator(at) => (NUMBERS[*at].set)(setup, value),
            Self::HarmonicRatio(order) => {
                harmonic(setup, *order).1 = value;
                Ok(())
            }
            Self::HarmonicPhase(order) => {
                harmonic(setup, *order).2 = value;
                Ok(())
            }
            Self::Field(_) => Ok(()),
        }
    }
}

/// The harmonic of that order; added with a ratio of 0 when the supply does not have it.
fn harmonic(setup: &mut RegulatorSetup, wanted: u32) -> &mut (u32, f64, f64) {
    let harmonics = &mut setup.regulator.supply.harmonics;
    let at = harmonics.iter().position(|(order, _, _)| *order == wanted).unwrap_or_else(|| {
        harmonics.push((wanted, 0.0, 0.0));
        harmonics.len() - 1
    });
    &mut harmonics[at]
}
