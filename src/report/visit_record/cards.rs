#[cfg(feature = "logbook")]
use crate::error::Result;
#[cfg(feature = "logbook")]
use crate::logbook::Logbook;
#[cfg(feature = "logbook")]
use crate::procedure::Visit;
use crate::procedure::entry::{CircuitCard, MeterCard, MeterDoubt, RegulatorCard};

/// What is known of a visit beside its own entries; all of it may be absent.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct VisitCards {
    /// The regulator, as the logbook knew it.
    pub regulator: Option<RegulatorCard>,
    /// The circuit.
    pub circuit: Option<CircuitCard>,
    /// The meter.
    pub meter: Option<MeterCard>,
    /// Doubts about the meter, each with the number of its entry.
    pub doubts: Vec<(u64, MeterDoubt)>,
    /// What of the visit is not as it was written, in words.
    pub misfit: Option<String>,
    /// Number and hash of the last entry of the whole logbook.
    pub head: Option<(u64, String)>,
}

impl VisitCards {
    /// What a logbook knows of a visit's regulator, circuit and meter, as they are known now, and
    /// where it ends.
    ///
    /// # Errors
    /// As [`Logbook::regulators`].
    #[cfg(feature = "logbook")]
    pub fn of(logbook: &Logbook, visit: &Visit) -> Result<Self> {
        let opening = visit.opening();
        let circuit = logbook.circuits()?.into_iter().map(|filed| filed.card).find(|card| {
            Some(&card.name) == opening.circuit.as_ref() && card.regulator == opening.regulator
        });
        Ok(Self {
            regulator: logbook.regulator(&opening.regulator)?.map(|filed| filed.card),
            circuit,
            meter: logbook.meter(&opening.meter)?.map(|filed| filed.card),
            doubts: logbook
                .doubts(&opening.meter)?
                .into_iter()
                .map(|filed| (filed.number, filed.card))
                .collect(),
            misfit: logbook.misfit_of_visit(visit.number())?.map(|misfit| misfit.text),
            head: logbook.head()?.map(|head| (head.number, head.hash)),
        })
    }
}
