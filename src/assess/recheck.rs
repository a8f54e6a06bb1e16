use rayon::prelude::*;

use crate::circuit::SenseLaw;
use crate::error::{Note, Noted, Result};
use crate::meter::{Meter, Reading};
use crate::regulator::{
    Load, OperatingPoint, Placement, Regulated, ResonantRegulator, SolveOptions, Step,
};
use crate::series::{FieldAnswer, FieldLoad, FieldPoint};
use crate::waveform::{Coupling, TrueRms};

use super::{StepResult, Survey};

/// Every step read again at another load after it was trimmed by a meter: what changes, and whether
/// the meter or the regulator is why.
///
/// The control keeps what it senses. A control that senses true RMS holds the true current, so a
/// difference on the meter is the meter's; a control that senses the rectified mean lets the true
/// current move with the shape.
#[derive(Clone, Debug)]
pub struct Recheck {
    /// One row for each step and meter, in the order of the survey.
    pub rows: Vec<RecheckRow>,
}

/// One step, set by one meter, at the other load.
#[derive(Clone, Debug)]
pub struct RecheckRow {
    /// The step.
    pub step: Step,
    /// The meter it was trimmed by and is read with.
    pub meter: Meter,
    /// True current after trimming, at the load of the setting.
    pub set: TrueRms,
    /// True current at the other load, the setting untouched.
    pub loaded: TrueRms,
    /// Where that lies against the band.
    pub placement: Placement,
    /// What the meter shows at the other load; it showed the nominal before.
    pub shown: Reading,
    /// (Shown at the other load minus nominal) over nominal.
    pub shown_change_ratio: f64,
}

impl Recheck {
    /// Trims every step by every meter at one load and reads it at another.
    ///
    /// # Errors
    /// As [`ResonantRegulator::hold`]. A pair that is out of reach has no row but a note.
    pub fn new(
        regulator: &ResonantRegulator,
        set_load: &dyn Load,
        other_load: &dyn Load,
        sense: SenseLaw,
        survey: &Survey,
    ) -> Result<Noted<Self>> {
        Self::at(&Bench { regulator, set_load, other: Other::Load(other_load), sense }, survey)
    }

    /// The same with a field as the other load, its lamps at the resistance of their own current.
    ///
    /// # Errors
    /// As [`FieldLoad::hold`]. A pair that is out of reach has no row but a note.
    pub fn on_field(
        regulator: &ResonantRegulator,
        set_load: &dyn Load,
        field: &FieldLoad,
        sense: SenseLaw,
        survey: &Survey,
    ) -> Result<Noted<Self>> {
        Self::at(&Bench { regulator, set_load, other: Other::Field(field), sense }, survey)
    }

    fn at(bench: &Bench<'_>, survey: &Survey) -> Result<Noted<Self>> {
        let steps: Vec<Result<Noted<Vec<RecheckRow>>>> =
            survey.results().par_iter().map(|result| bench.step(result)).collect();
        let mut recheck = Self { rows: Vec::new() };
        let mut notes = Vec::new();
        for step in steps {
            let step = step?;
            recheck.rows.extend(step.value);
            notes.extend(step.notes);
        }
        Ok(Noted { value: recheck, notes })
    }
}

struct Bench<'a> {
    regulator: &'a ResonantRegulator,
    set_load: &'a dyn Load,
    other: Other<'a>,
    sense: SenseLaw,
}

/// The load at which every step is read again.
enum Other<'a> {
    Load(&'a dyn Load),
    Field(&'a FieldLoad),
}

/// The last point held at the other load, the start of the next.
#[derive(Default)]
struct Near {
    point: Option<OperatingPoint>,
    field: Option<FieldPoint>,
}

impl Bench<'_> {
    fn step(&self, result: &StepResult) -> Result<Noted<Vec<RecheckRow>>> {
        let mut rows = Vec::with_capacity(result.judgements.len());
        let mut notes = Vec::new();
        let (mut near_set, mut near_other) = (None, Near::default());
        for judgement in &result.judgements {
            let Some(trimmed) = judgement.trimmed else { continue };
            let name =
                || format!("step {}, meter \"{}\"", result.step.number, judgement.meter.name);
            let set = trimmed.true_rms;
            let sensed_a =
                self.sensed_a(set, &mut near_set).map_err(|error| error.with_context(name()))?;
            let held = match sensed_a {
                Some(sensed_a) => {
                    let options = SolveOptions { sense: self.sense, ..SolveOptions::default() };
                    self.hold_other(sensed_a, &mut near_other, &options)
                        .map_err(|error| error.with_context(name()))?
                }
                None => None,
            };
            let Some(point) = held else {
                notes.push(Note::new(
                    "recheck-out-of-reach",
                    format!("{}: the regulator cannot hold this setting at both loads", name()),
                ));
                continue;
            };
            let loaded = point.output.true_rms(Coupling::Dc);
            let shown = judgement.meter.detector.read(&point.output.measures());
            rows.push(RecheckRow {
                step: result.step.clone(),
                meter: judgement.meter.clone(),
                set,
                loaded,
                placement: result.step.band.place(loaded),
                shown,
                shown_change_ratio: shown.shown_a() / result.step.nominal.a() - 1.0,
            });
        }
        Ok(Noted { value: rows, notes })
    }

    /// The operating point at the other load; `None` when it is out of reach.
    fn hold_other(
        &self,
        target_a: f64,
        near: &mut Near,
        options: &SolveOptions,
    ) -> Result<Option<OperatingPoint>> {
        match self.other {
            Other::Load(load) => hold(self.regulator, load, target_a, &mut near.point, options),
            Other::Field(field) => {
                let answer = field.hold(self.regulator, target_a, near.field.as_ref(), options)?;
                let FieldAnswer::Held(point) = answer else { return Ok(None) };
                let operating = point.operating.clone();
                near.field = Some(*point);
                Ok(Some(operating))
            }
        }
    }

    /// What the control senses at the setting; `None` when the setting cannot be held.
    fn sensed_a(&self, set: TrueRms, near: &mut Option<OperatingPoint>) -> Result<Option<f64>> {
        if self.sense == SenseLaw::TrueRms {
            return Ok(Some(set.a()));
        }
        let options = SolveOptions::default();
        let point = hold(self.regulator, self.set_load, set.a(), near, &options)?;
        Ok(point.map(|point| SenseLaw::SINE_FORM_FACTOR * point.output.measures().dc.arv_a))
    }
}

/// The operating point, kept as the start of the next; `None` when it is out of reach.
fn hold(
    regulator: &ResonantRegulator,
    load: &dyn Load,
    target_a: f64,
    near: &mut Option<OperatingPoint>,
    options: &SolveOptions,
) -> Result<Option<OperatingPoint>> {
    Ok(match regulator.hold(load, target_a, near.as_ref(), options)? {
        Regulated::Held(point) => {
            *near = Some((*point).clone());
            Some(*point)
        }
        Regulated::OutOfReach(_) => None,
    })
}
