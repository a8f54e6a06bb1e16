use crate::procedure::entry::{CircuitCard, MeterCard, RegulatorCard};

/// What is known of a visit beside its own entries; all of it may be absent.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct VisitCards {
    /// The regulator, as the logbook knew it.
    pub regulator: Option<RegulatorCard>,
    /// The circuit.
    pub circuit: Option<CircuitCard>,
    /// The meter.
    pub meter: Option<MeterCard>,
    /// Number and hash of the last entry of the whole logbook.
    pub head: Option<(u64, String)>,
}
