use std::path::Path;

use crate::assess::instrument::{
    CorrectedReading, Instrument, ReadingDecision, StepCurrents, Suitability, Terms, Verdict,
};
use crate::assess::{RecheckRow, Survey};
use crate::description::{Description, read_meter};
use crate::error::{Error, Note, Result};
use crate::lamp::{LampEffect, LifeChange};
use crate::meter::{Detector, Indication, Meter, SimulatedReading};
use crate::regulator::{Step, StepTable};
use crate::waveform::{Coupling, TrueRms};

use super::entry::{Judgement, Opening, Output};

/// Everything a visit's readings are judged against: the currents of every step, solved once, and
/// the verdict on the meter at each.
///
/// Made from the visit's opening and nothing else: the same opening gives the same judgements.
#[derive(Debug)]
pub struct Bench {
    description: Description,
    instrument: Instrument,
    terms: Terms,
    places: Vec<BenchPlace>,
    expected: Vec<(u32, f64)>,
    notes: Vec<Note>,
}

/// A step with one output: its currents, what the meter shows of them, the verdict.
#[derive(Debug)]
struct BenchPlace {
    currents: StepCurrents,
    readings: Vec<SimulatedReading>,
    verdict: Verdict,
}

impl Bench {
    /// The suitability of a judgement where no current is known: nothing can be said.
    pub const NOT_JUDGED: &'static str = "not-judged";

    /// Code of the note on a meter whose data sheet states no accuracy.
    pub const NO_SHEET: &'static str = "no-data-sheet";

    /// Solves what an opening describes.
    ///
    /// # Errors
    /// When description or sheet cannot be read, the regulator cannot be solved, or the probability
    /// is out of bounds; the text at fault is named.
    pub fn of(opening: &Opening) -> Result<Self> {
        let description = Description::parse(&opening.description, Path::new(""))
            .map_err(|error| error.with_context(format!("description of {}", opening.regulator)))?;
        let meter = read_meter(&opening.sheet, description.frequency_hz)
            .map_err(|error| error.with_context(format!("data sheet of {}", opening.meter)))?;
        let terms = Terms {
            conformance_probability: opening.conformance_probability,
            today: Some(opening.day),
            ambient_degc: opening.conditions.ambient_degc,
            scatter: None,
        };
        let instrument =
            Instrument::of_meter(&meter, description.frequency_hz, terms.ambient_degc)?;
        let currents = description.possible_currents()?;
        let places = currents
            .value
            .into_iter()
            .map(|currents| {
                let signals = currents.signals();
                let readings = instrument.read_all(&signals)?;
                let verdict = Verdict::of_signals(&instrument, &currents, &signals, &terms)?;
                drop(signals);
                Ok(BenchPlace { currents, readings, verdict })
            })
            .collect::<Result<_>>()?;
        let mut notes = currents.notes;
        if !instrument.sheet().states_accuracy() {
            let text = format!(
                "accuracy not counted: no data sheet says how far {} may be off, so every number on it \
                 is taken as exact",
                opening.meter
            );
            notes.insert(0, Note::new(Self::NO_SHEET, text));
        }
        let expected = match expected_changes(&description) {
            Ok(expected) => expected,
            // Without it the readings are judged all the same.
            Err(error) => {
                let text = format!("what changes with the field is not known: {error}");
                notes.push(Note::new("no-expected-change", text));
                Vec::new()
            }
        };
        Ok(Self { description, instrument, terms, places, expected, notes })
    }

    /// The description it was made from.
    #[must_use]
    pub fn description(&self) -> &Description {
        &self.description
    }

    /// The meter.
    #[must_use]
    pub fn instrument(&self) -> &Instrument {
        &self.instrument
    }

    /// What the verdicts were asked for.
    #[must_use]
    pub fn terms(&self) -> &Terms {
        &self.terms
    }

    /// The brightness steps, the brightest first.
    #[must_use]
    pub fn steps(&self) -> &StepTable {
        &self.description.steps
    }

    /// What was noticed while the currents were made.
    #[must_use]
    pub fn notes(&self) -> &[Note] {
        &self.notes
    }

    /// Every verdict, shorted before field.
    pub fn verdicts(&self) -> impl Iterator<Item = &Verdict> {
        self.places.iter().map(|place| &place.verdict)
    }

    /// The verdict on the meter at a step; `None` where no current is known.
    #[must_use]
    pub fn verdict(&self, step: u32, output: Output) -> Option<&Verdict> {
        self.place(step, output).map(|place| &place.verdict)
    }

    /// The currents of a step; `None` where none is known.
    #[must_use]
    pub fn currents(&self, step: u32, output: Output) -> Option<&StepCurrents> {
        self.place(step, output).map(|place| &place.currents)
    }

    /// Largest voltage of the loop to earth with the field connected, over the steps; `None` where
    /// nobody knows it.
    #[must_use]
    pub fn loop_rms_v(&self) -> Option<f64> {
        self.places.iter().filter_map(|place| place.currents.loop_rms_v()).reduce(f64::max)
    }

    /// What the meter shows of a true current at a step, before the digits; `None` where it shows
    /// nothing or no current is known.
    #[must_use]
    pub fn shown_a(&self, step: u32, output: Output, true_rms_a: f64) -> Option<f64> {
        let gain = self.place(step, output)?.verdict.gain?;
        Some(gain.middle_ratio() * true_rms_a)
    }

    /// The true current a number at a step means, best estimate; `None` as for [`Self::shown_a`].
    #[must_use]
    pub fn true_rms_a(&self, step: u32, output: Output, shown_a: f64) -> Option<f64> {
        let gain = self.place(step, output)?.verdict.gain?;
        Some(shown_a / gain.middle_ratio())
    }

    /// What the meter shows of a true current at the top step, before the digits; `None` as for
    /// [`Self::shown_a`].
    #[must_use]
    pub fn shown_at_top_a(&self, output: Output, true_rms_a: f64) -> Option<f64> {
        self.shown_a(self.steps().top().number, output, true_rms_a)
    }

    /// The lowest and highest number an ideal meter of another law would show at a step whose current
    /// is at its nominal; `None` where no current is known.
    #[must_use]
    pub fn shown_by_law_a(&self, step: u32, output: Output, law: Detector) -> Option<(f64, f64)> {
        let place = self.place(step, output)?;
        let shown = place
            .currents
            .currents()
            .iter()
            .map(|current| law.read(&current.waveform.measures()).shown_a());
        shown.fold(None, |span: Option<(f64, f64)>, a| {
            Some(span.map_or((a, a), |(low_a, high_a)| (low_a.min(a), high_a.max(a))))
        })
    }

    /// How much the true current of a step is expected to change when the field takes the place of the
    /// short, the setting untouched, over the current shorted: by the model, from what the control
    /// senses and from the load. `None` where it is not known.
    #[must_use]
    pub fn expected_change_ratio(&self, step: u32) -> Option<f64> {
        self.expected.iter().find(|(number, _)| *number == step).map(|(_, ratio)| *ratio)
    }

    /// Whether the meter measures true RMS.
    #[must_use]
    pub fn is_true_rms(&self) -> bool {
        self.instrument.sheet().detector.indication() == Indication::TrueRms
    }

    /// What a number on the display means at a step.
    ///
    /// # Errors
    /// `Inconsistent` for a step that is not in the table; as [`ReadingDecision::new`].
    pub fn judge(&self, step: u32, output: Output, shown_a: f64) -> Result<Judgement> {
        let known = self.step(step)?;
        let mut judgement = Judgement {
            nominal_a: known.nominal.a(),
            low_a: known.band.low_a(),
            high_a: known.band.high_a(),
            band_source: known.source.to_string(),
            suitability: Self::NOT_JUDGED.to_owned(),
            verdict: String::new(),
            set_low_a: None,
            set_high_a: None,
            true_rms_a: None,
            standard_uncertainty_a: None,
            expanded_uncertainty_a: None,
            coverage_factor: None,
            conformance_probability: None,
            simple: None,
            guarded: None,
            light_ratio: None,
            life_ratio: None,
        };
        let Some(place) = self.place(step, output) else {
            judgement.verdict = format!(
                "not judged: no current is known for step {step}, {}: describe a [field] or a \
                 `recheck-load`",
                output.words()
            );
            return Ok(judgement);
        };
        judgement.suitability = place.verdict.suitability.key().to_owned();
        judgement.verdict = place.verdict.sentence();
        if let Some(set_band) = place.verdict.set_band {
            judgement.set_low_a = Some(set_band.low_a);
            judgement.set_high_a = Some(set_band.high_a);
        }
        let (sheet, frequency_hz) = (self.instrument.sheet(), self.frequency_hz(place));
        let reading = CorrectedReading::new(sheet, &place.readings, frequency_hz, &self.terms);
        let Some(reading) = reading.filter(CorrectedReading::is_specified) else {
            return Ok(judgement);
        };
        let decision = ReadingDecision::new(&reading, known, shown_a, None)?;
        let outcome =
            |rule: usize| decision.rules.get(rule).map(|rule| rule.outcome.key().to_owned());
        judgement.true_rms_a = Some(decision.shown.true_a);
        judgement.standard_uncertainty_a = Some(decision.shown.standard_uncertainty_a);
        judgement.expanded_uncertainty_a = Some(decision.shown.expanded.half_width);
        judgement.coverage_factor = Some(decision.shown.expanded.coverage_factor);
        judgement.conformance_probability = Some(decision.shown.conformance_probability);
        (judgement.simple, judgement.guarded) = (outcome(0), outcome(1));
        self.add_lamps(&mut judgement, known, decision.shown.true_a)?;
        Ok(judgement)
    }

    /// What a judgement's current does to the lamps, with the words where the laws give no number;
    /// `None` where no true current was judged, or where the law cannot be asked for it.
    #[must_use]
    pub fn lamp_effect(&self, judgement: &Judgement) -> Option<LampEffect> {
        let now = TrueRms::stated_a(judgement.true_rms_a?);
        let nominal = TrueRms::stated_a(judgement.nominal_a);
        self.description.lamp.effect(now, nominal, self.description.rated()).ok()
    }

    fn add_lamps(&self, judgement: &mut Judgement, step: &Step, true_a: f64) -> Result<()> {
        let (now, rated) = (TrueRms::stated_a(true_a), self.description.rated());
        let effect = self.description.lamp.effect(now, step.nominal, rated)?;
        judgement.light_ratio = effect.light_ratio;
        judgement.life_ratio = match effect.life {
            LifeChange::Ratio(ratio) => Some(ratio),
            _ => None,
        };
        Ok(())
    }

    fn step(&self, number: u32) -> Result<&Step> {
        self.steps().step(number).ok_or_else(|| {
            let known: Vec<_> =
                self.steps().steps().iter().map(|step| step.number.to_string()).collect();
            Error::malformed(
                format!("a step of the description: {}", known.join(", ")),
                format!("step {number}"),
            )
        })
    }

    fn place(&self, step: u32, output: Output) -> Option<&BenchPlace> {
        self.places.iter().find(|place| {
            place.currents.step().number == step
                && place.currents.connection() == output.connection()
        })
    }

    fn frequency_hz(&self, place: &BenchPlace) -> f64 {
        let first = place.currents.currents().first();
        first.map_or(self.description.frequency_hz, |current| current.waveform.frequency_hz())
    }

    /// The steps at which this meter's voltage category forbids it with this output, and the finding.
    #[must_use]
    pub fn danger(&self, output: Output) -> Option<(Vec<u32>, &Note)> {
        let at = |step: &Step| {
            let danger = self.verdict(step.number, output)?.danger()?;
            Some((step.number, danger))
        };
        let found: Vec<(u32, &Note)> = self.steps().steps().iter().filter_map(at).collect();
        let (_, note) = found.first()?;
        Some((found.iter().map(|(step, _)| *step).collect(), *note))
    }

    /// The steps this meter may not set with this output, or of which no current is known.
    #[must_use]
    pub fn unfit_steps(&self, output: Output) -> Vec<u32> {
        let is_unfit = |step: &&Step| {
            self.verdict(step.number, output)
                .is_none_or(|verdict| verdict.suitability == Suitability::NotFit)
        };
        self.steps().steps().iter().filter(is_unfit).map(|step| step.number).collect()
    }
}

/// The laws a meter may follow without its owner knowing.
pub(super) const OTHER_LAWS: [(&str, Detector); 2] = [
    ("average-law", Detector::AverageResponding(Coupling::Ac)),
    ("peak-law", Detector::PeakResponding(Coupling::Ac)),
];

/// The change of every step from short to field after it was set right.
fn expected_changes(description: &Description) -> Result<Vec<(u32, f64)>> {
    let cases = description.cases()?;
    let right = [Meter::ideal("true RMS", Detector::TrueRms(Coupling::Dc))];
    let survey = Survey::new(&cases.value, &right, &description.lamp, description.rated())?;
    let Some(recheck) = description.recheck(&survey)? else { return Ok(Vec::new()) };
    let change = |row: &RecheckRow| Some((row.step.number, row.loaded.ratio_to(row.set)? - 1.0));
    Ok(recheck.value.rows.iter().filter_map(change).collect())
}
