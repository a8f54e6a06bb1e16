use crate::assess::instrument::{
    Connection, Instrument, PossibleCurrent, StepCurrents, Suitability, Terms, Verdict,
};
use crate::assess::{Fitness, Judgement};
use crate::description::Description;
use crate::error::{Note, Result};
use crate::meter::{Circumstances, Meter, Reading, Signal, SimulatedReading};
use crate::regulator::{Placement, Step};
use crate::waveform::Waveform;

use super::Seen;

/// What one meter shows in a situation, and what that is worth.
#[derive(Clone, Debug)]
pub struct MeterSeen {
    /// The meter.
    pub meter: Meter,
    /// What its detector law alone shows of the current that flows.
    pub by_law: Reading,
    /// What its display shows, by its data sheet; `None` when it has none.
    pub simulated: Option<SimulatedReading>,
    /// True RMS of the current that flows.
    pub true_rms_a: f64,
    /// Its law judged at the step's nominal; `None` when the nominal is not held.
    pub judgement: Option<Judgement>,
    /// The whole instrument judged on this one current; `None` without a data sheet, or when the nominal is not
    /// held.
    pub verdict: Option<Verdict>,
    /// Why the meter must not be on this loop, whatever it shows, as [`Verdict::danger`]; also where the nominal is
    /// not held. `None` where nothing is known against it.
    pub danger: Option<Note>,
}

impl MeterSeen {
    pub(super) fn new(
        seen: &Seen,
        meter: Meter,
        judged: Option<&Waveform>,
        connection: Connection,
        description: &Description,
    ) -> Result<Self> {
        let named =
            |error: crate::error::Error| error.with_context(format!("meter \"{}\"", meter.name));
        let by_law = meter.detector.read(&seen.measures);
        let lamp = (&description.lamp, description.rated());
        let judge = |waveform: &Waveform| {
            Judgement::new(&meter, &seen.step, &waveform.measures(), lamp.0, lamp.1)
        };
        let judgement = judged.map(judge).transpose().map_err(named)?;
        let loop_rms_v = Some(seen.power.voltage_rms_v);
        let (mut simulated, mut verdict, mut danger) = (None, None, None);
        if let Some(sheet) = &meter.sheet {
            let here = Circumstances { loop_rms_v, ..Circumstances::default() };
            let found = sheet.findings(&here);
            danger = found.into_iter().find(|note| note.code == Verdict::DANGER_CODE);
            let instrument = Instrument::of_meter(&meter, seen.output.frequency_hz(), None)?;
            simulated = instrument.read_all(&[Signal::of(&seen.output)])?.pop();
            if let Some(waveform) = judged {
                let origin = seen.words.clone();
                let current = PossibleCurrent { origin, waveform: waveform.clone() };
                let currents =
                    StepCurrents::new(seen.step.clone(), connection, loop_rms_v, vec![current])?;
                verdict = Some(Verdict::new(&instrument, &currents, &Terms::default())?);
            }
        }
        let true_rms_a = seen.true_rms_a();
        Ok(Self { meter, by_law, simulated, true_rms_a, judgement, verdict, danger })
    }

    /// The number shown; `None` on overload.
    #[must_use]
    pub fn shown_a(&self) -> Option<f64> {
        match &self.simulated {
            Some(reading) => reading.shown().map(|shown| shown.shown_a()),
            None => Some(self.by_law.shown_a()),
        }
    }

    /// Digits after the point that its display has at this reading; `None` without a data sheet.
    #[must_use]
    pub fn display_digits(&self) -> Option<usize> {
        let resolution_a = self.simulated.as_ref()?.range.resolution_a;
        // A last digit of 0.01, 0.02 or 0.05 A stands two places after the point.
        Some((-(resolution_a.log10() + 1e-9).floor()).clamp(0.0, 6.0) as usize)
    }

    /// Shown minus true; `None` on overload.
    #[must_use]
    pub fn error_a(&self) -> Option<f64> {
        self.shown_a().map(|shown_a| shown_a - self.true_rms_a)
    }

    /// (Shown minus true) over true; `None` on overload or for no current.
    #[must_use]
    pub fn error_ratio(&self) -> Option<f64> {
        let error_a = self.error_a()?;
        (self.true_rms_a > 0.0).then(|| error_a / self.true_rms_a)
    }

    /// What it must show for the true current to lie in the band: of the whole instrument when it has a data
    /// sheet, of its law otherwise; `None` when nothing it can show means that.
    #[must_use]
    pub fn must_show_a(&self) -> Option<(f64, f64)> {
        match (&self.verdict, &self.judgement) {
            (Some(verdict), _) => verdict.set_band.map(|band| (band.low_a, band.high_a)),
            (None, Some(judgement)) => judgement.set_band_a,
            (None, None) => None,
        }
    }

    /// The verdict in one or two words: of the whole instrument when it has a data sheet, of its law otherwise.
    #[must_use]
    pub fn verdict_words(&self) -> &'static str {
        match (&self.verdict, &self.judgement) {
            (Some(verdict), _) => verdict.suitability.words(),
            (None, Some(judgement)) => judgement.fitness.words(),
            (None, None) => "not judged",
        }
    }

    /// Whether it may set the step with nothing said against it.
    #[must_use]
    pub fn is_fit(&self) -> bool {
        match (&self.verdict, &self.judgement) {
            (Some(verdict), _) => verdict.suitability == Suitability::Fit,
            (None, Some(judgement)) => judgement.fitness == Fitness::Fit,
            (None, None) => false,
        }
    }

    /// Why, in one sentence; a danger comes first.
    #[must_use]
    pub fn reason(&self, step: &Step) -> String {
        let judged = self.judged(step);
        match &self.danger {
            Some(danger) => format!("DANGER: {}; of its number alone: {judged}", danger.text),
            None => judged,
        }
    }

    fn judged(&self, step: &Step) -> String {
        match (&self.verdict, &self.judgement) {
            (Some(verdict), _) if verdict.reasons.is_empty() => {
                "its reading is known well enough for this band".into()
            }
            (Some(verdict), _) => {
                verdict.reasons.iter().map(|reason| reason.words()).collect::<Vec<_>>().join("; ")
            }
            (None, Some(judgement)) => of_law(judgement, step),
            (None, None) => "the step's nominal is out of reach here".into(),
        }
    }
}

fn of_law(judgement: &Judgement, step: &Step) -> String {
    let Some(trimmed) = judgement.trimmed else {
        return "it shows nothing of this current".into();
    };
    let (low_a, high_a) = (step.band.low_a(), step.band.high_a());
    let place = match trimmed.placement {
        Placement::Low => format!("below the band of {low_a:.2} to {high_a:.2} A"),
        Placement::Inside => format!("inside the band of {low_a:.2} to {high_a:.2} A"),
        Placement::High => format!("above the band of {low_a:.2} to {high_a:.2} A"),
    };
    let tight = match judgement.fitness {
        Fitness::Tight => ", with more than half of the room used by its law alone",
        _ => "",
    };
    format!(
        "set until it shows {:.2} A, the true current is {:.3} A, {place}{tight}",
        step.nominal.a(),
        trimmed.true_rms.a()
    )
}
