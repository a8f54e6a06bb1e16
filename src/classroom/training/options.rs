use crate::error::{Error, Result};
use crate::meter::Archetype;

use super::parameter::percent;
use super::{Parameter, TrainingFigure, setting};

/// What is chosen about a training figure; what is `None` stays as the figure has it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct TrainingOptions {
    /// Brightness step, within [`Parameter::STEP`].
    pub step: Option<u32>,
    /// Load over rated load, within [`Parameter::LOAD_RATIO`].
    pub load_ratio: Option<f64>,
    /// Largest share of lamps out, within [`Parameter::LAMPS_OUT_RATIO`].
    pub lamps_out_ratio: Option<f64>,
    /// Total harmonic distortion, within [`Parameter::THD_RATIO`].
    pub thd_ratio: Option<f64>,
    /// Conformance probability, within [`Parameter::PROBABILITY_RATIO`].
    pub probability: Option<f64>,
    /// Kind of meter.
    pub meter: Option<Archetype>,
}

impl TrainingOptions {
    /// Options of a figure from a table of a lesson file: `step = 3`, `load = "50 %"` (or 0.5),
    /// `meter = "average-responding-clamp"`.
    ///
    /// # Errors
    /// `Inconsistent` for a parameter the figure does not have, with those it has; `Malformed` or
    /// `OutOfRange` for a value, with what is allowed.
    pub fn from_table(figure: TrainingFigure, table: &toml::Table) -> Result<Self> {
        let mut options = Self::default();
        for (key, value) in table {
            options.set(figure, key, &setting::text(key, value)?)?;
        }
        Ok(options)
    }

    /// Chooses one parameter, written as text.
    ///
    /// # Errors
    /// As [`Self::from_table`].
    pub fn set(&mut self, figure: TrainingFigure, key: &str, text: &str) -> Result<()> {
        let known = figure.parameters();
        let parameter = known
            .iter()
            .find(|parameter| parameter.key() == key)
            .ok_or_else(|| setting::unknown(figure, key, &known))?;
        parameter.put(text, self)
    }

    /// Chooses one parameter for every figure of a list that has it.
    ///
    /// # Errors
    /// `Inconsistent` when none has it; otherwise as [`Self::from_table`].
    pub fn set_each(chosen: &mut [(TrainingFigure, Self)], key: &str, text: &str) -> Result<()> {
        let has = |figure: TrainingFigure| figure.parameters().iter().any(|p| p.key() == key);
        let mut with_it = chosen.iter_mut().filter(|(figure, _)| has(*figure)).peekable();
        if with_it.peek().is_none() {
            let known: Vec<&str> = Parameter::ALL.map(Parameter::key).to_vec();
            let what = format!("none of the figures has a parameter \"{key}\"");
            let near = setting::nearest(key, &known).filter(|near| *near != key);
            return Err(Error::inconsistent(what).with_hint(near.map_or_else(
                || format!("there are: {}", known.join(", ")),
                |near| format!("did you mean \"{near}\"?"),
            )));
        }
        with_it.try_for_each(|(figure, options)| options.set(*figure, key, text))
    }

    /// Whether a parameter is chosen.
    #[must_use]
    pub fn has(&self, parameter: Parameter) -> bool {
        self.written(parameter).is_some()
    }

    /// The value of a parameter as it is written; `None` where it is not chosen.
    #[must_use]
    pub fn written(&self, parameter: Parameter) -> Option<String> {
        let share = |ratio: Option<f64>| ratio.map(|ratio| format!("{} %", percent(ratio)));
        match parameter {
            Parameter::Step => self.step.map(|step| step.to_string()),
            Parameter::Load => share(self.load_ratio),
            Parameter::LampsOut => share(self.lamps_out_ratio),
            Parameter::Thd => share(self.thd_ratio),
            Parameter::Probability => share(self.probability),
            Parameter::Meter => self.meter.map(|meter| meter.key().to_owned()),
        }
    }

    /// The options where they say something, else the figure's own.
    ///
    /// # Errors
    /// As [`Self::from_table`]: values set in the fields are held to the same bounds.
    pub(super) fn completed(&self, figure: TrainingFigure) -> Result<Chosen> {
        let mut all = figure.defaults();
        for parameter in Parameter::ALL {
            if let Some(text) = self.written(parameter) {
                all.set(figure, parameter.key(), &text)?;
            }
        }
        // The exact values: what is written is rounded far below anything that shows.
        let own = figure.defaults();
        Ok(Chosen {
            step: self.step.or(own.step).unwrap_or(1),
            load_ratio: self.load_ratio.or(own.load_ratio).unwrap_or(1.0),
            lamps_out_ratio: self.lamps_out_ratio.or(own.lamps_out_ratio).unwrap_or(0.1),
            thd_ratio: self.thd_ratio.or(own.thd_ratio).unwrap_or(0.1),
            probability: self.probability.or(own.probability).unwrap_or(0.95),
            meter: self.meter.or(own.meter).unwrap_or(Archetype::AverageRespondingClamp),
        })
    }
}

/// Every parameter with a value; a figure takes those it has.
#[derive(Clone, Copy, Debug)]
pub(super) struct Chosen {
    pub(super) step: u32,
    pub(super) load_ratio: f64,
    pub(super) lamps_out_ratio: f64,
    pub(super) thd_ratio: f64,
    pub(super) probability: f64,
    pub(super) meter: Archetype,
}

impl Chosen {
    /// A check that no option is out of its bounds has been made by [`TrainingOptions::completed`].
    pub(super) fn step_of(
        self,
        steps: &crate::regulator::StepTable,
    ) -> Result<&crate::regulator::Step> {
        steps.step(self.step).ok_or_else(|| {
            Error::inconsistent(format!("the training circuit has no step {}", self.step))
        })
    }
}
