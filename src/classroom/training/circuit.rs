use crate::assess::StepCase;
use crate::description::{Description, FieldSetup, RegulatorSetup};
use crate::error::{Error, Result};
use crate::meter::Archetype;
use crate::regulator::{OperatingPoint, Regulated, Step};
use crate::series::{FieldAnswer, FieldLoad, FieldPoint, FilamentLamp, FixtureKind, LampsOut};

/// The invented circuit on a generic regulator from which the training figures take their numbers:
/// that of the embedded description.
#[derive(Clone, Debug)]
pub struct TrainingCircuit {
    /// The description it comes from.
    pub description: Description,
    /// Its regulator.
    pub regulator: RegulatorSetup,
    /// Its field.
    pub field: FieldSetup,
    /// One of its lamps.
    pub lamp: FilamentLamp,
}

impl TrainingCircuit {
    /// The circuit of the embedded description.
    ///
    /// # Errors
    /// None in practice: the embedded description is read by a test.
    pub fn invented() -> Result<Self> {
        Self::of(Description::embedded())
    }

    /// A circuit with a regulator and a field with a filament lamp.
    ///
    /// # Errors
    /// `Inconsistent` when one of them is missing.
    pub fn of(description: Description) -> Result<Self> {
        let missing = |what: &str| Error::inconsistent(format!("the description has no {what}"));
        let regulator = description.regulator.clone().ok_or_else(|| missing("regulator"))?;
        let field = description.field.clone().ok_or_else(|| missing("field"))?;
        let lamp = field.field.groups.iter().find_map(|group| match group.kind {
            FixtureKind::Lamp(lamp) => Some(lamp),
            _ => None,
        });
        let lamp = lamp.ok_or_else(|| missing("group of filament lamps"))?;
        Ok(Self { description, regulator, field, lamp })
    }

    /// Its steps, the dimmest first.
    #[must_use]
    pub fn steps(&self) -> &[Step] {
        self.description.steps.steps()
    }

    /// Where its numbers come from, for the foot of a figure; without a full stop.
    #[must_use]
    pub fn origin(&self) -> String {
        let setup = &self.regulator;
        format!("a {}: {}", setup.rating_words(), setup.regulator.values.origin.short())
    }

    /// The load of an output shorted with its leads.
    #[must_use]
    pub fn shorted_ratio(&self) -> f64 {
        self.regulator.load_ratio
    }

    /// A load in words: "output shorted", "50 % load".
    #[must_use]
    pub fn load_words(&self, load_ratio: f64) -> String {
        if load_ratio <= self.shorted_ratio() {
            return "output shorted".into();
        }
        format!("{}\u{a0}% load", super::parameter::percent(load_ratio))
    }

    /// The regulator holding a step on a resistive load.
    ///
    /// # Errors
    /// `Inconsistent` when the step is out of reach; otherwise as the solver.
    pub fn held(&self, step: &Step, load_ratio: f64) -> Result<OperatingPoint> {
        let load = self.regulator.load(load_ratio)?;
        let options = self.regulator.options();
        match self.regulator.regulator.hold(&load, step.nominal.a(), None, &options)? {
            Regulated::Held(point) => Ok(*point),
            Regulated::OutOfReach(reach) => Err(Error::inconsistent(format!(
                "step {} cannot be held at this load; the limit is {:.3} A",
                step.number, reach.limit_a
            ))
            .with_hint("choose a lower step or another load")),
        }
    }

    /// The current of a step on a resistive load, scaled to its nominal.
    ///
    /// # Errors
    /// As [`Self::held`].
    pub fn case(&self, step: &Step, load_ratio: f64) -> Result<StepCase> {
        let point = self.held(step, load_ratio)?;
        let waveform = point
            .output
            .scaled_to_rms(step.nominal.a(), crate::waveform::Coupling::Dc)?
            .from_rising_zero();
        let origin = format!("{}, {}", self.load_words(load_ratio), self.origin());
        Ok(StepCase { step: step.clone(), waveform, origin })
    }

    /// The regulator holding a step on the field with a share of its lamps out.
    ///
    /// # Errors
    /// `Inconsistent` when the step is out of reach; otherwise as the solver.
    pub fn with_lamps_out(
        &self,
        step: &Step,
        open_ratio: f64,
        start: Option<&FieldPoint>,
    ) -> Result<FieldPoint> {
        let regulator = &self.regulator.regulator;
        let field = &self.field.field;
        let load = FieldLoad::with_open_ratio(field, regulator, open_ratio, LampsOut::EveryGroup)?;
        let options = self.regulator.options();
        match load.hold(regulator, step.nominal.a(), start, &options)? {
            FieldAnswer::Held(point) => Ok(*point),
            FieldAnswer::OutOfReach(_) => Err(Error::inconsistent(format!(
                "step {} cannot be held with {} % of the lamps out",
                step.number,
                super::parameter::percent(open_ratio)
            ))
            .with_hint("choose a lower step or fewer lamps out")),
        }
    }

    /// Every kind of meter there is a sheet for.
    #[must_use]
    pub fn meters(&self) -> [Archetype; 8] {
        Archetype::ALL
    }
}
