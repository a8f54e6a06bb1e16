use crate::error::Result;
use crate::meter::{Meter, Sheet, Signal, SimulatedReading, Simulation, WindowStart};

/// A named meter with its data sheet, ready to be judged.
#[derive(Debug)]
pub struct Instrument {
    name: String,
    simulation: Simulation,
}

impl Instrument {
    /// A meter for a mains frequency, at a temperature where it is known.
    ///
    /// # Errors
    /// As [`Sheet::check`], with the meter named.
    pub fn new(
        name: impl Into<String>,
        sheet: Sheet,
        mains_hz: f64,
        ambient_degc: Option<f64>,
    ) -> Result<Self> {
        let name = name.into();
        let simulation = Simulation::new(sheet, mains_hz)
            .map_err(|error| error.with_context(format!("meter \"{name}\"")))?;
        let simulation = match ambient_degc {
            Some(ambient_degc) => simulation.at_degc(ambient_degc),
            None => simulation,
        };
        Ok(Self { name, simulation })
    }

    /// A meter of a description; one without a data sheet is an ideal meter of its law.
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn of_meter(meter: &Meter, mains_hz: f64, ambient_degc: Option<f64>) -> Result<Self> {
        let sheet = meter.sheet.clone().unwrap_or_else(|| Sheet::ideal(meter.detector));
        Self::new(meter.name.clone(), sheet, mains_hz, ambient_degc)
    }

    /// Its name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Its data sheet.
    #[must_use]
    pub fn sheet(&self) -> &Sheet {
        self.simulation.sheet()
    }

    /// What it shows of each of the currents of a step.
    ///
    /// # Errors
    /// As [`Simulation::read`], with the meter named.
    pub fn read_all(&self, signals: &[Signal<'_>]) -> Result<Vec<SimulatedReading>> {
        signals
            .iter()
            .map(|signal| self.simulation.read(signal, WindowStart::Anywhere))
            .collect::<Result<_>>()
            .map_err(|error| error.with_context(format!("meter \"{}\"", self.name)))
    }
}
