use crate::assess::instrument::{Connection, Instrument, Terms};
use crate::assess::protection::{FooledDetector, SetPoint, SetPointReading};
use crate::cited::Evidence;
use crate::error::{Note, Result};
use crate::regulator::protection::{
    ProtectionLaw, TimeLimit, Trial, TrialBench, TrialRun, TripCurve,
};
use crate::regulator::{Regulated, ResistiveLoad, SolveOptions};
use crate::waveform::Waveform;

use super::{Description, RegulatorSetup};

/// Everything there is to say of a regulator's protection: set-points, what meters show there, trials
/// in time and times to trip, output shorted and field connected.
#[derive(Debug)]
pub struct ProtectionStudy {
    /// Each set-point with what every meter shows there, output shorted.
    pub set_points: Vec<(SetPoint, Vec<SetPointReading>)>,
    /// Detector laws that are fooled, on each of the currents in service.
    pub fooled: Vec<FooledDetector>,
    /// Trials: output shorted first.
    pub trials: Vec<TrialRun>,
    /// Time to trip over multiple of rated current: output shorted, then the field's load.
    pub curves: Vec<TripCurve>,
    /// What has to be said beside it.
    pub notes: Vec<Note>,
}

impl Description {
    /// Studies the protection of a setup that holds a current, with the output shorted and, where a
    /// load is given, on that share of the rated resistance.
    ///
    /// # Errors
    /// As [`SetPoint::of`], [`crate::regulator::protection::TrialBench::run`] and
    /// [`Self::possible_currents`].
    pub fn protection_study(
        &self,
        setup: &RegulatorSetup,
        target_a: f64,
        field_ratio: Option<f64>,
        meters: &[Instrument],
        terms: &Terms,
    ) -> Result<ProtectionStudy> {
        let shorted = setup.bench(setup.load_ratio, target_a)?;
        let points = SetPoint::of(&shorted, self.steps.top().band.high_a())?;
        let fooled = self.fooled(setup, &points, field_ratio)?;
        let set_points = points
            .into_iter()
            .map(|point| {
                let readings = meters.iter().map(|m| SetPointReading::of(m, &point, terms));
                let readings = readings.collect::<Result<Vec<_>>>()?;
                Ok((point, readings))
            })
            .collect::<Result<Vec<_>>>()?;
        let ratios = setup.protection.curve_ratios();
        let mut study = ProtectionStudy {
            set_points,
            fooled,
            trials: Vec::new(),
            curves: Vec::new(),
            notes: Vec::new(),
        };
        study.try_on(&shorted, &shorted.overcurrent_trials()?)?;
        let has_stages = !setup.protection.stages.is_empty();
        if has_stages {
            study.curves.push(TripCurve::of(&shorted, &ratios)?);
        }
        if let Some(ratio) = field_ratio {
            let field = setup.bench(ratio, target_a)?;
            let mut on_field = field.overcurrent_trials()?;
            on_field.push(Trial::LoadThrownOff { left_ratio: Trial::LEFT_RATIO });
            if setup.protection.open_circuit.is_some() {
                on_field.push(Trial::CircuitOpened);
            }
            study.try_on(&field, &on_field)?;
            if has_stages {
                study.curves.push(TripCurve::of(&field, &ratios)?);
            }
        }
        let findings = study.findings(setup, field_ratio);
        study.notes.extend(findings);
        Ok(study)
    }

    /// Detector laws on the currents that flow in service: the set-point's own on either load, and the
    /// field's with lamps out, whose shape is that of the brightest step.
    fn fooled(
        &self,
        setup: &RegulatorSetup,
        points: &[SetPoint],
        field_ratio: Option<f64>,
    ) -> Result<Vec<FooledDetector>> {
        let top = self.steps.top().number;
        let mut others: Vec<(String, Waveform)> = Vec::new();
        if self.field.is_some() {
            for place in self.possible_currents()?.value {
                if place.step().number == top && place.connection() == Connection::Loaded {
                    // Those of the field come first and by name; the loads of service are solved below.
                    let named = place.currents().iter().filter(|c| c.origin.contains("the field"));
                    others.extend(named.map(|c| {
                        let words = c.origin.replace("the field", "field").replace("of its ", "");
                        (words, c.waveform.clone())
                    }));
                }
            }
        }
        let mut fooled = Vec::new();
        // Beyond the regulator's highest current nothing is known of the shape in service.
        for point in points.iter().filter(|point| point.highest_rms_a.is_none()) {
            fooled.extend(FooledDetector::of(point, "output shorted", &point.current)?);
            if let Some(ratio) = field_ratio {
                let loaded = highest_or_held(setup, ratio, point.set.a())?;
                let words = format!("load {} % of rated", (1e4 * ratio).round() / 1e2);
                fooled.extend(FooledDetector::of(point, &words, &loaded)?);
            }
            for (words, current) in &others {
                fooled.extend(FooledDetector::of(point, words, current)?);
            }
        }
        Ok(fooled)
    }
}

fn highest_or_held(setup: &RegulatorSetup, ratio: f64, target_a: f64) -> Result<Waveform> {
    let load: ResistiveLoad = setup.load(ratio)?;
    Ok(match setup.regulator.hold(&load, target_a, None, &SolveOptions::default())? {
        Regulated::Held(point) => point.output,
        Regulated::OutOfReach(reach) => reach.nearest.output,
    })
}

impl ProtectionStudy {
    /// Shifts smaller than this are not worth a warning. Ours.
    const FOOLED_RATIO: f64 = 0.005;

    /// Runs trials; one the model cannot be driven to is a finding.
    fn try_on(&mut self, bench: &TrialBench<'_>, trials: &[Trial]) -> Result<()> {
        for (trial, run) in trials.iter().zip(bench.run_all(trials)?) {
            if run.is_none() {
                self.notes.push(Note::new(
                    "not-driven",
                    format!(
                        "{} at {} % load: no fault drives the model to a stable state there; this time is \
                         not judged",
                        trial.words(),
                        (1e4 * bench.load_ratio).round() / 1e2
                    ),
                ));
            }
            self.trials.extend(run);
        }
        Ok(())
    }

    fn findings(&self, setup: &RegulatorSetup, field_ratio: Option<f64>) -> Vec<Note> {
        let protection = &setup.protection;
        let mut notes = vec![setup.regulator.values.origin.note()];
        let limits = protection.stages.iter().filter_map(|stage| Some(&stage.tried.as_ref()?.1));
        let open = protection.open_circuit.as_ref();
        let all = limits.chain(open.and_then(|open| open.limit.as_ref()));
        let is_memory = |limit: &&TimeLimit| limit.source.evidence == Evidence::Memory;
        let from_memory: Vec<&str> =
            all.filter(is_memory).map(|limit| limit.source.title.as_ref()).collect();
        if !from_memory.is_empty() {
            notes.push(Note::new(
                "limits-from-memory",
                format!(
                    "from memory, not verified: {}; put the times that bind you under \
                     [regulator.protection]",
                    from_memory.join("; ")
                ),
            ));
        }
        notes.extend(self.fooled_note(protection.law));
        notes.extend(self.driven_note());
        for run in &self.trials {
            let is_order =
                matches!(run.trial, Trial::SupplyJump { .. } | Trial::LoadThrownOff { .. });
            if let Some(time_s) = run.time_to_trip_s().filter(|_| is_order) {
                notes.push(Note::new(
                    "acts-in-service",
                    format!(
                        "{} at {} % load: the protection acts after {time_s:.3} s, though the control \
                         would have brought the current back",
                        run.trial.words(),
                        (1e4 * run.load_ratio).round() / 1e2
                    ),
                ));
            }
            if !run.is_there() {
                notes.push(Note::new(
                    "not-there",
                    format!(
                        "{} at {} % load: the current lay at {:.1} % of rated at the end, so the time is \
                         not held against the limit",
                        run.trial.words(),
                        (1e4 * run.load_ratio).round() / 1e2,
                        100.0 * run.reached_ratio
                    ),
                ));
            }
        }
        if field_ratio.is_none() {
            notes.push(Note::new(
                "no-field-load",
                "no load of service is known: give `recheck-load` or --load for the trials with the \
                 field connected",
            ));
        }
        notes.extend(fixed_notes(field_ratio.is_some(), open.is_some()));
        notes
    }

    fn fooled_note(&self, law: ProtectionLaw) -> Option<Note> {
        let shift = |fooled: &&FooledDetector| fooled.by_dial_ratio().abs();
        let worst = |law: ProtectionLaw| {
            let of_law = self.fooled.iter().filter(move |fooled| fooled.acting.law == law);
            of_law.max_by(|a, b| shift(a).total_cmp(&shift(b)))
        };
        let told = |fooled: &FooledDetector| {
            let ratio = fooled.by_dial_ratio();
            let side = if ratio < 0.0 { "early" } else { "late" };
            format!(
                "{:.1} % {side} ({:.3} A instead of {:.3} A; {})",
                100.0 * ratio.abs(),
                fooled.acting.by_dial_rms_a,
                fooled.set_rms_a,
                fooled.current
            )
        };
        if law == ProtectionLaw::TrueRms {
            let others = [ProtectionLaw::Average, ProtectionLaw::Peak].map(|law| {
                worst(law).map(|fooled| format!("{} up to {}", law.words(), told(fooled)))
            });
            let others: Vec<String> = others.into_iter().flatten().collect();
            if others.is_empty() {
                return None;
            }
            return Some(Note::new(
                "other-detectors",
                format!(
                    "the detector described measures true RMS and is not fooled by the shape; others \
                     set to the same number act elsewhere: {}",
                    others.join(", ")
                ),
            ));
        }
        let fooled = worst(law).filter(|fooled| shift(fooled) > Self::FOOLED_RATIO)?;
        Some(Note::new(
            "fooled-detector",
            format!(
                "WARNING: the {} detector is fooled by the shape of the current: set to a true-RMS \
                 value it acts up to {}",
                law.words(),
                told(fooled)
            ),
        ))
    }

    /// What stands behind multiples the regulator cannot come to by itself.
    fn driven_note(&self) -> Option<Note> {
        let highest_a = self.set_points.iter().filter_map(|(point, _)| point.highest_rms_a).next();
        let tried = self.trials.iter().any(|run| matches!(run.trial, Trial::ControlFault { .. }));
        tried.then(|| {
            let limit = highest_a.map_or(String::new(), |highest_a| {
                format!(" ({highest_a:.3} A with the output shorted)")
            });
            Note::new(
                "supply-too-high",
                format!(
                    "the control alone cannot drive the current beyond the regulator's highest{limit}: \
                     for multiples beyond, the supply of the model stands too high from the beginning, \
                     as with a wrong tap; the control makes up for it, then drifts to its end within {} \
                     half cycles, and the time counts from the first one above the lowest set-point. A \
                     sudden failure there throws this model into other states; it is not tried",
                    Trial::DRIFT_HALF_CYCLES
                ),
            )
        })
    }
}

fn fixed_notes(is_loaded: bool, watches_open: bool) -> Vec<Note> {
    let mut notes = vec![Note::new(
        "contactor",
        "a time ends where the protection acts: its contactor's own time comes on top and is not \
         modelled",
    )];
    if is_loaded && watches_open {
        notes.push(Note::new(
            "open-loop",
            format!(
                "an open loop is modelled as {} times the rated resistance: no gap is infinite, \
                 flashover and cable capacitance are left out, and the voltage is what the model's \
                 iron lets through",
                Trial::OPEN_RATIO
            ),
        ));
        notes.push(Note::new(
            "open-loop-limit",
            "open circuit: 3 s is the printed acceptance limit of UFC 3-535-01 (2005), 14-7.1; 2 s is \
             remembered from elsewhere, not verified",
        ));
    }
    if is_loaded {
        notes.push(Note::new(
            "load-step-rule",
            "IEC 61822, 5.3.10, as quoted elsewhere: after a load step of more than 10 % the overcurrent \
             lasts one half cycle at most. What counts as overcurrent there was not read, so it is not \
             judged; the time above the lowest pick-up is shown",
        ));
    }
    notes
}
