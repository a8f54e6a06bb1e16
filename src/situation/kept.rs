use crate::regulator::OperatingPoint;
use crate::series::FieldPoint;

use super::{Output, Situation};

/// A solution kept to start from.
#[derive(Clone, Debug)]
pub(super) struct Kept {
    pub(super) situation: Situation,
    pub(super) nominal_a: f64,
    pub(super) load_ratio: f64,
    pub(super) point: Point,
}

/// A regulator holding a current on a resistance or on a field.
#[derive(Clone, Debug)]
pub(super) enum Point {
    Load(Box<OperatingPoint>),
    Field(Box<FieldPoint>),
}

impl Kept {
    /// How far away another situation is; `None` when nothing can be started from here.
    pub(super) fn distance(
        &self,
        other: &Situation,
        nominal_a: f64,
        load_ratio: f64,
    ) -> Option<f64> {
        let (mine, other_field) = (&self.situation, other.output == Output::Field);
        let same = mine.sense == other.sense
            && mine.supply_frequency_ratio == other.supply_frequency_ratio
            && mine.supply_voltage_ratio == other.supply_voltage_ratio
            && (mine.output == Output::Field) == other_field
            && mine.lamps_out_ratio.is_some() == other.lamps_out_ratio.is_some();
        if !same {
            return None;
        }
        let loads = if other_field { 0.0 } else { (self.load_ratio - load_ratio).abs() };
        let lamps = mine.lamps_out_ratio.unwrap_or(0.0) - other.lamps_out_ratio.unwrap_or(0.0);
        let currents = (self.nominal_a / nominal_a).ln();
        Some(currents.abs() + loads + 3.0 * lamps.abs())
    }
}
