//! Where the numbers of a field are kept, by their dotted names.

use crate::error::{Bounds, Error, Result};
use crate::series::{CableRun, FieldLoad, FilamentLamp, FixtureGroup, FixtureKind};
use crate::units::Dimension;

use super::Description;

/// The place of one number of the field.
///
/// Counts are rounded to whole fixtures. The factors act on what the description says.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum FieldPlace {
    /// Share of all fixtures that are open, in every group that has no share of its own; parts of
    /// fixtures are allowed.
    OpenShare,
    /// A factor on the power of all lamps and constant-power electronics.
    LampPower,
    /// A factor on the knee of all isolating transformers.
    TransformerKnee,
    /// Length of all cable.
    CableLength,
    /// Mean temperature of all cable, by length.
    CableTemperature,
    /// A number of one group, by its place.
    Group(usize, GroupNumber),
}

/// A number of a fixture group.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum GroupNumber {
    Count,
    Open,
    Shorted,
    Power,
    OpenShare,
}

/// A factor on what the description says.
const FACTOR: Bounds = Bounds::new("factor on what is described", "", 0.1, 10.0);
/// Fixtures of a group that are open or shorted.
const OUT: Bounds = Bounds::new("fixtures of the group", "", 0.0, FixtureGroup::COUNT.max);

impl GroupNumber {
    const ALL: [(&'static str, Self); 5] = [
        ("count", Self::Count),
        ("open", Self::Open),
        ("shorted", Self::Shorted),
        ("power", Self::Power),
        ("open-share", Self::OpenShare),
    ];
}

impl FieldPlace {
    const WHOLE: [(&'static str, Self); 5] = [
        ("field.open-share", Self::OpenShare),
        ("field.lamp-power", Self::LampPower),
        ("field.transformer-knee", Self::TransformerKnee),
        ("field.cable.length", Self::CableLength),
        ("field.cable.temperature", Self::CableTemperature),
    ];

    pub(super) fn all(description: &Description) -> Vec<Self> {
        let Some(setup) = &description.field else { return Vec::new() };
        let groups = 0..setup.field.groups.len();
        let of_group = |at| GroupNumber::ALL.map(|(_, number)| Self::Group(at, number));
        Self::WHOLE.into_iter().map(|(_, place)| place).chain(groups.flat_map(of_group)).collect()
    }

    pub(super) fn from_key(key: &str) -> Option<Self> {
        if let Some((_, place)) = Self::WHOLE.into_iter().find(|(known, _)| *known == key) {
            return Some(place);
        }
        let (at, number) = key.strip_prefix("field.group.")?.split_once('.')?;
        let at: usize = at.parse().ok()?;
        let (_, number) = GroupNumber::ALL.into_iter().find(|(known, _)| *known == number)?;
        Some(Self::Group(at.checked_sub(1)?, number))
    }

    pub(super) fn key(&self) -> String {
        if let Self::Group(at, number) = self {
            let known = GroupNumber::ALL.iter().find(|(_, known)| known == number);
            return format!("field.group.{}.{}", at + 1, known.map_or("", |(word, _)| word));
        }
        let known = Self::WHOLE.into_iter().find(|(_, known)| known == self);
        known.map_or_else(String::new, |(key, _)| key.to_owned())
    }

    pub(super) fn words(&self) -> String {
        match self {
            Self::OpenShare => "share of lamps out".into(),
            Self::LampPower => "lamp power, as a factor".into(),
            Self::TransformerKnee => "knee of the isolating transformers, as a factor".into(),
            Self::CableLength => "length of cable".into(),
            Self::CableTemperature => "temperature of the cable".into(),
            Self::Group(at, number) => {
                let what = match number {
                    GroupNumber::Count => "fixtures",
                    GroupNumber::Open => "open fixtures",
                    GroupNumber::Shorted => "shorted fixtures",
                    GroupNumber::Power => "lamp power",
                    GroupNumber::OpenShare => "share of lamps out",
                };
                format!("{what} of group {}", at + 1)
            }
        }
    }

    pub(super) fn dimension(&self) -> Dimension {
        match self {
            Self::CableLength => Dimension::Length,
            Self::CableTemperature => Dimension::Temperature,
            Self::Group(_, GroupNumber::Power) => Dimension::Power,
            _ => Dimension::Ratio,
        }
    }

    pub(super) fn bounds(&self) -> Bounds {
        match self {
            Self::OpenShare | Self::Group(_, GroupNumber::OpenShare) => FieldLoad::OPEN_RATIO,
            Self::LampPower | Self::TransformerKnee => FACTOR,
            Self::CableLength => CableRun::LENGTH_M,
            Self::CableTemperature => CableRun::TEMPERATURE_DEGC,
            Self::Group(_, GroupNumber::Count) => FixtureGroup::COUNT,
            Self::Group(_, GroupNumber::Open | GroupNumber::Shorted) => OUT,
            Self::Group(_, GroupNumber::Power) => FilamentLamp::POWER_W,
        }
    }

    /// The number there; `None` when the description has no such place.
    pub(super) fn get(&self, description: &Description) -> Option<f64> {
        let field = &description.field.as_ref()?.field;
        let cable_m = field.cable_m();
        match self {
            Self::OpenShare => {
                (field.fixtures() > 0).then(|| description.open_ratios.of_all(field))
            }
            Self::LampPower | Self::TransformerKnee => (field.fixtures() > 0).then_some(1.0),
            Self::CableLength => (cable_m > 0.0).then_some(cable_m),
            Self::CableTemperature => {
                let weighted: f64 =
                    field.cable.iter().map(|run| run.length_m * run.temperature_degc).sum();
                (cable_m > 0.0).then(|| weighted / cable_m)
            }
            Self::Group(at, number) => {
                let group = field.groups.get(*at)?;
                match number {
                    GroupNumber::Count => Some(f64::from(group.count)),
                    GroupNumber::Open => Some(f64::from(group.open)),
                    GroupNumber::Shorted => Some(f64::from(group.shorted)),
                    GroupNumber::Power => power_of(&group.kind),
                    GroupNumber::OpenShare => {
                        let counted = f64::from(group.open) / f64::from(group.count);
                        Some(description.open_ratios.of_groups(field)[*at].unwrap_or(counted))
                    }
                }
            }
        }
    }

    pub(super) fn set(&self, description: &mut Description, value: f64) -> Result<()> {
        let now = self.get(description).ok_or_else(|| {
            Error::inconsistent(format!("the description has no {}", self.words()))
        })?;
        let Some(setup) = &mut description.field else { return Ok(()) };
        let field = &mut setup.field;
        match self {
            Self::OpenShare => description.open_ratios.every = Some(value),
            Self::Group(at, GroupNumber::OpenShare) => {
                description.open_ratios.groups.insert(*at, value);
            }
            Self::LampPower => {
                field.groups.iter_mut().for_each(|group| scale_power(&mut group.kind, value));
            }
            Self::TransformerKnee => {
                field.groups.iter_mut().for_each(|group| group.transformer.knee_rms_v *= value);
            }
            Self::CableLength => {
                field.cable.iter_mut().for_each(|run| run.length_m *= value / now);
            }
            Self::CableTemperature => {
                field.cable.iter_mut().for_each(|run| run.temperature_degc += value - now);
            }
            Self::Group(at, number) => {
                let group = &mut field.groups[*at];
                let whole = value.round() as u32;
                match number {
                    GroupNumber::Count => group.count = whole,
                    GroupNumber::Open => group.open = whole,
                    GroupNumber::Shorted => group.shorted = whole,
                    GroupNumber::Power => scale_power(&mut group.kind, value / now),
                    GroupNumber::OpenShare => {}
                }
                return group.check();
            }
        }
        Ok(())
    }
}

/// Active power of what hangs on the secondary; rectifiers have a voltage instead.
fn power_of(kind: &FixtureKind) -> Option<f64> {
    match kind {
        FixtureKind::Lamp(lamp) => Some(lamp.rated_power_w),
        FixtureKind::ConstantPower(fixture) => Some(fixture.power_w),
        // A factor scales the volt-amperes; a power in watts they are not.
        FixtureKind::Apparent(_) | FixtureKind::Rectifier(_) => None,
    }
}

fn scale_power(kind: &mut FixtureKind, factor: f64) {
    match kind {
        FixtureKind::Lamp(lamp) => lamp.rated_power_w *= factor,
        FixtureKind::ConstantPower(fixture) => fixture.power_w *= factor,
        FixtureKind::Apparent(fixture) => fixture.apparent_va *= factor,
        FixtureKind::Rectifier(_) => {}
    }
}
