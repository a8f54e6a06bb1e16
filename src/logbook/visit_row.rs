use jiff::civil::Date;

use crate::procedure::VisitState;

/// A visit in a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VisitRow {
    /// Its number.
    pub number: u64,
    /// The regulator.
    pub regulator: String,
    /// The circuit it carried.
    pub circuit: Option<String>,
    /// The meter.
    pub meter: String,
    /// The day, at the place.
    pub day: Date,
    /// Who did it.
    pub person: String,
    /// How far it is.
    pub state: VisitState,
    /// Next due day, as it was closed with.
    pub next_due: Option<Date>,
    /// How many readings of it count.
    pub readings: u64,
}
