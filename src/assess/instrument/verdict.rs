use crate::error::{Note, Result};
use crate::meter::{Indication, Signal, SimulatedReading};
use crate::regulator::Step;
use crate::uncertainty::decision::{Limits, TestRatio};

use super::{
    Connection, CorrectedDisplay, CorrectedReading, GainSpread, Instrument, Reason, SetBand,
    ShownCurrent, StepCurrents, Suitability, Terms, doubts,
};

/// Whether one meter may set one step in one connection, with the numbers that say so.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// The meter.
    pub meter: String,
    /// The step.
    pub step: Step,
    /// What the output is connected to.
    pub connection: Connection,
    /// The verdict.
    pub suitability: Suitability,
    /// Why it is not a plain "fit"; empty for one that is.
    pub reasons: Vec<Reason>,
    /// Shown over true over all possible currents; `None` when the meter shows nothing.
    pub gain: Option<GainSpread>,
    /// What a reading in the middle of the band means; `None` when the sheet does not say enough.
    pub dead_centre: Option<ShownCurrent>,
    /// Half of the band over the expanded uncertainty; `None` where there is none.
    pub test_ratio: Option<TestRatio>,
    /// What the meter must show; for a meter that does not measure true RMS, for every possible
    /// current.
    pub set_band: Option<SetBand>,
    /// For a meter that does not measure true RMS: what it shows of each current, with
    /// [`CorrectedDisplay::WARNING`].
    pub corrected: Vec<CorrectedDisplay>,
    /// What makes meter or reading doubtful.
    pub notes: Vec<Note>,
}

impl Verdict {
    /// Judges a meter at a step.
    ///
    /// # Errors
    /// As [`Terms::check`] and [`Instrument::read_all`].
    pub fn new(instrument: &Instrument, currents: &StepCurrents, terms: &Terms) -> Result<Self> {
        Self::of_signals(instrument, currents, &currents.signals(), terms)
    }

    /// The same with the currents made ready before, for many meters.
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn of_signals(
        instrument: &Instrument,
        currents: &StepCurrents,
        signals: &[Signal<'_>],
        terms: &Terms,
    ) -> Result<Self> {
        terms.check()?;
        let readings = instrument.read_all(signals)?;
        let sheet = instrument.sheet();
        let band = limits(currents.step())?;
        let notes = doubts::notes(sheet, currents, &readings, terms);
        let mut verdict = Self {
            meter: instrument.name().to_owned(),
            step: currents.step().clone(),
            connection: currents.connection(),
            suitability: Suitability::NotFit,
            reasons: doubts::ruled_out(&notes),
            gain: GainSpread::of(&readings),
            dead_centre: None,
            test_ratio: None,
            set_band: None,
            corrected: Vec::new(),
            notes,
        };
        let frequency_hz =
            signals.first().map_or(f64::NAN, |signal| signal.waveform().frequency_hz());
        let Some(reading) = CorrectedReading::new(sheet, &readings, frequency_hz, terms) else {
            verdict.reasons.push(Reason::ShowsNothing);
            return Ok(verdict);
        };
        if reading.is_specified() {
            verdict.weigh(&reading, &band, terms)?;
            if sheet.detector.indication() != Indication::TrueRms {
                verdict.correct(&reading, &readings, currents, &band, terms)?;
            }
        }
        if !verdict.reasons.iter().any(rules_out) {
            verdict.suitability =
                if verdict.reasons.is_empty() { Suitability::Fit } else { Suitability::WithCare };
        }
        Ok(verdict)
    }

    /// Why the meter must not be on the loop at this place, whatever it shows: its voltage category is
    /// below the voltage of the loop. `None` where nothing is known against it.
    ///
    /// A finding about people, not about the number: [`Self::suitability`] does not count it.
    #[must_use]
    pub fn danger(&self) -> Option<&Note> {
        self.notes.iter().find(|note| note.code == Self::DANGER_CODE)
    }

    /// Code of the note behind [`Self::danger`].
    pub const DANGER_CODE: &'static str = "voltage-category";

    /// The verdict in one sentence; a danger comes first.
    #[must_use]
    pub fn sentence(&self) -> String {
        match self.danger() {
            Some(danger) => format!("DANGER: {}; by its numbers {}", danger.text, self.judged()),
            None => self.judged(),
        }
    }

    /// Suitability, reasons and set-band.
    fn judged(&self) -> String {
        let mut sentence = self.suitability.words().to_owned();
        let reasons: Vec<String> = self.reasons.iter().map(Reason::words).collect();
        if !reasons.is_empty() {
            sentence = format!("{sentence}: {}", reasons.join("; "));
        }
        match self.set_band {
            Some(set_band) if self.suitability != Suitability::NotFit => {
                format!("{sentence}; it must show {}", set_band.words())
            }
            _ => sentence,
        }
    }

    /// Set-band and reasons from the uncertainty.
    fn weigh(
        &mut self,
        reading: &CorrectedReading<'_>,
        band: &Limits,
        terms: &Terms,
    ) -> Result<()> {
        let probability = terms.conformance_probability;
        let nominal_a = self.step.nominal.a();
        let gain = reading.gain();
        let middle_a = 0.5 * (self.step.band.low_a() + self.step.band.high_a());
        let is_true_rms = reading.indication() == Indication::TrueRms;
        let (lower, higher) = if is_true_rms {
            (reading.clone(), reading.clone())
        } else {
            (
                reading.with_gain(GainSpread::exactly(gain.low_ratio)),
                reading.with_gain(GainSpread::exactly(gain.high_ratio)),
            )
        };
        let centre = lower.at(lower.gain().middle_ratio() * middle_a, band)?;
        self.dead_centre = Some(centre);
        self.test_ratio = TestRatio::to_expanded(band, &centre.expanded).ok();
        self.set_band = SetBand::between(&lower, &higher, band, probability)?;
        let half_band_ratio = 0.5 * (self.step.band.high_a() - self.step.band.low_a()) / nominal_a;
        let is_proved = centre.conformance_probability >= probability;
        let holds_nominal = self.set_band.is_some_and(|set_band| set_band.contains(nominal_a));
        // Where the sheet promises nothing, its accuracy and what follows from it are no numbers.
        if !is_proved && !self.notes.iter().any(doubts::is_without_accuracy) {
            self.reasons.push(Reason::CannotProve {
                accuracy_ratio: lower.accuracy_a(centre.shown_a).map(|a| a / centre.shown_a),
                expanded_ratio: centre.expanded.half_width / centre.true_a,
                half_band_ratio,
                at_best: centre.conformance_probability,
                asked_for: probability,
            });
        }
        let (low_ratio, high_ratio) = (gain.low_ratio - 1.0, gain.high_ratio - 1.0);
        // Trimmed to the nominal, the true current is the nominal over the gain.
        let leaves_band =
            [gain.low_ratio, gain.high_ratio].iter().any(|gain| !band.contain(nominal_a / gain));
        if !is_true_rms && (leaves_band || (is_proved && !holds_nominal)) {
            self.reasons.push(Reason::LawError { low_ratio, high_ratio, half_band_ratio });
        } else if !is_true_rms && holds_nominal {
            self.reasons.push(Reason::OnlyTheseCurrents { low_ratio, high_ratio });
        }
        match self.set_band {
            Some(set_band) => {
                if is_true_rms && !holds_nominal {
                    let SetBand { low_a, high_a, .. } = set_band;
                    self.reasons.push(Reason::NominalOutside { low_a, high_a });
                }
                let resolution_a = reading.range().resolution_a;
                let numbers = set_band.numbers(resolution_a);
                if numbers < Suitability::LEAST_NUMBERS {
                    self.reasons.push(Reason::FewDigits { numbers, resolution_a });
                } else if set_band.kept_ratio < Suitability::FIT_KEEPS_RATIO {
                    let kept_ratio = set_band.kept_ratio;
                    self.reasons.push(Reason::NarrowSetBand { kept_ratio });
                }
            }
            None if is_true_rms && is_proved => {
                let resolution_a = reading.range().resolution_a;
                self.reasons.push(Reason::BetweenDigits { resolution_a });
            }
            None => {}
        }
        Ok(())
    }

    fn correct(
        &mut self,
        reading: &CorrectedReading<'_>,
        readings: &[SimulatedReading],
        currents: &StepCurrents,
        band: &Limits,
        terms: &Terms,
    ) -> Result<()> {
        for (shown, current) in readings.iter().zip(currents.currents()) {
            let Some(gain) = GainSpread::of(std::slice::from_ref(shown)) else { continue };
            let alone = reading.with_gain(gain);
            self.corrected.push(CorrectedDisplay {
                origin: current.origin.clone(),
                nominal_shown_a: gain.middle_ratio() * self.step.nominal.a(),
                set_band: SetBand::new(&alone, band, terms.conformance_probability)?,
            });
        }
        Ok(())
    }
}

fn limits(step: &Step) -> Result<Limits> {
    Limits::between(step.band.low_a(), step.band.high_a())
}

/// Reasons that leave no "with care".
fn rules_out(reason: &Reason) -> bool {
    match reason {
        Reason::CannotProve { .. }
        | Reason::BetweenDigits { .. }
        | Reason::FewDigits { .. }
        | Reason::LawError { .. }
        | Reason::ShowsNothing
        | Reason::Finding(_) => true,
        Reason::OnlyTheseCurrents { .. }
        | Reason::NarrowSetBand { .. }
        | Reason::NominalOutside { .. } => false,
    }
}
