use crate::assess::instrument::{Connection, PossibleCurrent, StepCurrents};
use crate::error::{Error, Note, Noted, Result};
use crate::regulator::{Regulated, SolveOptions, Step};
use crate::series::{FieldAnswer, FieldLoad, FieldPoint, LampsOut};
use crate::waveform::Waveform;

use super::{CurrentOrigin, Description, FieldSetup, RegulatorSetup};

/// Loads around the one of service that a field can have, as shares of it: lamps that fail or are
/// replaced, leakage. Our own choice, no source.
const FIELD_SHARES: [f64; 3] = [0.9, 1.0, 1.1];

impl Description {
    /// Shares of lamps out that are taken as possible where nothing else is said. Our own choice, no
    /// source.
    pub const LAMPS_OUT_RATIOS: [f64; 3] = [0.0, 0.05, 0.1];

    /// Every current that may flow at each step, with the output shorted and with the field
    /// connected, lamps out as in [`Self::LAMPS_OUT_RATIOS`].
    ///
    /// # Errors
    /// As [`Self::possible_currents_with`].
    pub fn possible_currents(&self) -> Result<Noted<Vec<StepCurrents>>> {
        self.possible_currents_with(&Self::LAMPS_OUT_RATIOS)
    }

    /// Every current that may flow at each step, with these shares of lamps out.
    ///
    /// Shorted it is the one of [`Self::cases`], whatever it comes from. With the field connected the
    /// regulator is solved on the field with each share of its lamps out, and on its second load, a
    /// tenth less and a tenth more: whichever of the two is described. A description without
    /// regulator, or with neither, has no currents of the second kind.
    ///
    /// # Errors
    /// As [`Self::cases`]; when the regulator cannot be solved, with the step named; `OutOfRange` for
    /// a share beyond [`FieldLoad::OPEN_RATIO`].
    pub fn possible_currents_with(
        &self,
        lamps_out_ratios: &[f64],
    ) -> Result<Noted<Vec<StepCurrents>>> {
        for ratio in lamps_out_ratios {
            FieldLoad::OPEN_RATIO.check(*ratio)?;
        }
        let cases = self.cases()?;
        let mut notes = cases.notes;
        let mut all = Vec::with_capacity(2 * cases.value.len());
        for case in cases.value {
            let origin = PossibleCurrent { origin: case.origin, waveform: case.waveform };
            all.push(StepCurrents::new(case.step, Connection::Shorted, None, vec![origin])?);
        }
        let Some(setup) = &self.regulator else { return Ok(Noted { value: all, notes }) };
        for (step, origin) in self.steps.steps().iter().zip(&self.currents) {
            // A drawn or recorded current belongs to no load of the regulator.
            if !matches!(origin, CurrentOrigin::Regulator) {
                continue;
            }
            let mut connected = Connected::new(setup, step);
            let solved = self
                .field
                .as_ref()
                .map_or(Ok(()), |field| connected.add_field(field, lamps_out_ratios))
                .and_then(|()| setup.recheck_load_ratio.map_or(Ok(()), |r| connected.add_loads(r)));
            solved.map_err(|error| error.with_context(format!("step {}", step.number)))?;
            for note in connected.notes.drain(..) {
                if !notes.contains(&note) {
                    notes.push(note);
                }
            }
            all.extend(connected.finish()?);
        }
        let is_loaded = all.iter().any(|place| place.connection() == Connection::Loaded);
        if is_loaded && self.field.is_none() {
            notes.push(Note::new(
                "no-lamps-out",
                "no [field] is described: the possible currents differ by load alone, lamps out are \
                 not among them",
            ));
        }
        Ok(Noted { value: all, notes })
    }
}

/// The currents of one step with the field connected, as they are found.
struct Connected<'a> {
    setup: &'a RegulatorSetup,
    step: &'a Step,
    currents: Vec<PossibleCurrent>,
    highest_v: Option<f64>,
    notes: Vec<Note>,
}

impl<'a> Connected<'a> {
    fn new(setup: &'a RegulatorSetup, step: &'a Step) -> Self {
        Self { setup, step, currents: Vec::new(), highest_v: None, notes: Vec::new() }
    }

    /// The field with shares of its lamps out.
    fn add_field(&mut self, field: &FieldSetup, lamps_out_ratios: &[f64]) -> Result<()> {
        let regulator = &self.setup.regulator;
        let (target_a, options) = (self.step.nominal.a(), SolveOptions::default());
        let mut neighbour: Option<FieldPoint> = None;
        for ratio in lamps_out_ratios {
            let every = LampsOut::EveryGroup;
            let load = FieldLoad::with_open_ratio(&field.field, regulator, *ratio, every)?;
            let words = format!("the field, {} % of its lamps out", 100.0 * ratio);
            match load.hold(regulator, target_a, neighbour.as_ref(), &options)? {
                FieldAnswer::Held(point) => {
                    let output = point.operating.output.clone();
                    self.push(words, output, point.power.voltage_rms_v);
                    neighbour = Some(*point);
                }
                FieldAnswer::OutOfReach(_) => self.notes.push(self.out_of_reach(&words, None)),
            }
        }
        Ok(())
    }

    /// Resistive loads about the one of service.
    fn add_loads(&mut self, service_ratio: f64) -> Result<()> {
        let (target_a, options) = (self.step.nominal.a(), SolveOptions::default());
        let mut neighbour = None;
        for share in FIELD_SHARES {
            let ratio = RegulatorSetup::LOAD_RATIO.max.min(share * service_ratio);
            let load = self.setup.load(ratio)?;
            let words = self.setup.words(ratio);
            match self.setup.regulator.hold(&load, target_a, neighbour.as_ref(), &options)? {
                Regulated::Held(point) => {
                    let voltage_v = point.output_power()?.voltage_rms_v;
                    self.push(words, point.output.clone(), voltage_v);
                    neighbour = Some(*point);
                }
                Regulated::OutOfReach(reach) => {
                    self.notes.push(self.out_of_reach(&words, Some(reach.limit_a)));
                }
            }
        }
        Ok(())
    }

    fn push(&mut self, origin: String, output: Waveform, voltage_v: f64) {
        self.highest_v = Some(self.highest_v.map_or(voltage_v, |v| v.max(voltage_v)));
        self.currents.push(PossibleCurrent { origin, waveform: output.from_rising_zero() });
    }

    fn out_of_reach(&self, load: &str, limit_a: Option<f64>) -> Note {
        let nearest = limit_a.map_or(String::new(), |limit_a| {
            format!(": the nearest current it can hold is {limit_a:.3} A")
        });
        let number = self.step.number;
        let text = format!("step {number} is out of reach of this regulator at {load}{nearest}");
        Note::new("out-of-reach", text)
    }

    /// `None` when none of the loads can be held.
    fn finish(self) -> Result<Option<StepCurrents>> {
        if self.currents.is_empty() {
            return Ok(None);
        }
        StepCurrents::new(self.step.clone(), Connection::Loaded, self.highest_v, self.currents)
            .map(Some)
            .map_err(|error: Error| error.with_context("field connected"))
    }
}
