use rayon::prelude::*;

use crate::error::Result;
use crate::meter::Signal;

use super::{
    CircuitCurrents, ComparisonCell, Connection, Instrument, StepCurrents, Suitability, Terms,
    Verdict,
};

/// Many meters at many steps of many circuits.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    meters: Vec<String>,
    circuits: Vec<String>,
    cells: Vec<ComparisonCell>,
}

impl Comparison {
    /// Judges every meter at every step of every circuit, on all cores; the cells come circuit by
    /// circuit, step by step, meter by meter.
    ///
    /// # Errors
    /// As [`Verdict::new`], with the circuit named; of several, the first in the order of the cells.
    pub fn new(
        instruments: &[Instrument],
        circuits: &[CircuitCurrents],
        terms: &Terms,
    ) -> Result<Self> {
        let steps: Vec<(usize, &StepCurrents)> = circuits
            .iter()
            .enumerate()
            .flat_map(|(place, circuit)| circuit.steps.iter().map(move |step| (place, step)))
            .collect();
        let signals: Vec<Vec<Signal<'_>>> =
            steps.par_iter().map(|(_, step)| step.signals()).collect();
        let meters = instruments.len();
        let cells: Vec<Result<ComparisonCell>> = (0..steps.len() * meters)
            .into_par_iter()
            .map(|cell| {
                let (place, meter) = (cell / meters, cell % meters);
                let (circuit, step) = steps[place];
                Verdict::of_signals(&instruments[meter], step, &signals[place], terms)
                    .map(|verdict| ComparisonCell::of(&verdict, meter, circuit))
                    .map_err(|error| {
                        error.with_context(format!("circuit \"{}\"", circuits[circuit].name))
                    })
            })
            .collect();
        Ok(Self {
            meters: instruments.iter().map(|instrument| instrument.name().to_owned()).collect(),
            circuits: circuits.iter().map(|circuit| circuit.name.clone()).collect(),
            cells: cells.into_iter().collect::<Result<_>>()?,
        })
    }

    /// Names of the meters, in the order given.
    #[must_use]
    pub fn meters(&self) -> &[String] {
        &self.meters
    }

    /// Names of the circuits, in the order given.
    #[must_use]
    pub fn circuits(&self) -> &[String] {
        &self.circuits
    }

    /// Every cell.
    #[must_use]
    pub fn cells(&self) -> &[ComparisonCell] {
        &self.cells
    }

    /// The steps of a circuit with their connections, in the order of the cells.
    #[must_use]
    pub fn places(&self, circuit: usize) -> Vec<(u32, Connection)> {
        let mut places = Vec::new();
        for cell in self.cells.iter().filter(|cell| cell.circuit == circuit) {
            let place = (cell.step_number, cell.connection);
            if !places.contains(&place) {
                places.push(place);
            }
        }
        places
    }

    /// The cell of a meter at a place of a circuit.
    #[must_use]
    pub fn cell(
        &self,
        meter: usize,
        circuit: usize,
        place: (u32, Connection),
    ) -> Option<&ComparisonCell> {
        self.cells.iter().find(|cell| {
            cell.meter == meter
                && cell.circuit == circuit
                && (cell.step_number, cell.connection) == place
        })
    }

    /// The worst verdict of a meter over everything it was judged on; `None` for no such meter.
    #[must_use]
    pub fn worst(&self, meter: usize) -> Option<Suitability> {
        self.cells.iter().filter(|cell| cell.meter == meter).map(|cell| cell.suitability).max()
    }
}
