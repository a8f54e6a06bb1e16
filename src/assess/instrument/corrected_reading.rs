use crate::error::Result;
use crate::meter::{Conditions, ErrorLimits, Indication, Range, Sheet, SimulatedReading};
use crate::uncertainty::decision::{Knowledge, Limits};
use crate::uncertainty::{
    Budget, Contribution, Correlations, Distribution, Estimate, Evaluation, Input, MonteCarlo,
    MonteCarloRun, Part, Shape,
};

use super::{Contributor, GainSpread, ShownCurrent, Terms};

/// What a number on a meter's display means at a step: the true current and how well it is known.
///
/// # Formula
/// I = (D + Σ δ)/g: D shown, g the gain over the possible waveforms (rectangular from its lowest to
/// its highest), δ the errors the sheet leaves open, each about zero: its accuracy line, crest, clamp,
/// position, temperature and half of the last digit rectangular; certificate normal; an unsynchronised
/// window arc-sine; repeatability by Student's t.
///
/// # Validity
/// Near the step's nominal, on the range the meter chooses there; of several, the highest. What a
/// sheet does not state contributes nothing and is named by a note of the verdict.
#[derive(Clone, Debug)]
pub struct CorrectedReading<'a> {
    sheet: &'a Sheet,
    range: Range,
    gain: GainSpread,
    crest_factor: Option<f64>,
    frequency_hz: f64,
    /// Half of the spread of an unsynchronised window, over the reading.
    window_ratio: f64,
    terms: Terms,
}

/// One uncertain quantity of the model.
struct Entry {
    contributor: Contributor,
    estimate: Estimate,
    distribution: Distribution,
    evaluation: Evaluation,
}

impl<'a> CorrectedReading<'a> {
    /// From what a meter shows of every current that is possible at a step.
    ///
    /// `None` without readings, or when the meter shows nothing.
    #[must_use]
    pub fn new(
        sheet: &'a Sheet,
        readings: &[SimulatedReading],
        frequency_hz: f64,
        terms: &Terms,
    ) -> Option<Self> {
        let gain = GainSpread::of(readings)?;
        let highest = |a: Range, b: Range| if b.full_scale_a > a.full_scale_a { b } else { a };
        let range = readings.iter().map(|reading| reading.range).reduce(highest)?;
        let crest_factor =
            readings.iter().filter_map(|reading| reading.crest_factor).reduce(f64::max);
        let window = |reading: &SimulatedReading| {
            let (low_a, high_a) = reading.window_span_a?;
            Some(0.5 * (high_a - low_a) / (0.5 * (high_a + low_a)))
        };
        let window_ratio = readings.iter().filter_map(window).fold(0.0, f64::max);
        Some(Self { sheet, range, gain, crest_factor, frequency_hz, window_ratio, terms: *terms })
    }

    /// The same for one gain alone: a single waveform, taken as known.
    #[must_use]
    pub fn with_gain(&self, gain: GainSpread) -> Self {
        Self { gain, ..self.clone() }
    }

    /// The gain over the possible waveforms.
    #[must_use]
    pub fn gain(&self) -> GainSpread {
        self.gain
    }

    /// The range the meter is on.
    #[must_use]
    pub fn range(&self) -> Range {
        self.range
    }

    /// What the number on the display stands for.
    #[must_use]
    pub fn indication(&self) -> Indication {
        self.sheet.detector.indication()
    }

    /// Limit of error by the accuracy line of the sheet at a number shown; `None` when not stated.
    #[must_use]
    pub fn accuracy_a(&self, shown_a: f64) -> Option<f64> {
        self.sheet.accuracy.limit_a(&self.range, shown_a, self.frequency_hz)
    }

    /// Whether the sheet states an accuracy here: without one, nothing can be said.
    #[must_use]
    pub fn is_specified(&self) -> bool {
        self.sheet.accuracy.line(&self.range, self.frequency_hz).is_some()
    }

    /// The budget of the true current at a number shown.
    ///
    /// # Errors
    /// As [`Budget::new`].
    pub fn budget(&self, shown_a: f64) -> Result<Budget> {
        let gain = self.gain.middle_ratio();
        let shown = Input::from_distribution("shown", "A", Distribution::Exactly(shown_a))?;
        let mut lines = vec![Contribution { input: shown, sensitivity: 1.0 / gain }];
        for entry in self.entries(shown_a) {
            let sensitivity = entry.sensitivity(shown_a, gain);
            let unit = if entry.contributor == Contributor::Waveform { "A/A" } else { "A" };
            let input = Input {
                name: entry.contributor.words().to_owned(),
                unit: unit.to_owned(),
                estimate: entry.estimate,
                distribution: entry.distribution,
                evaluation: entry.evaluation,
            };
            lines.push(Contribution { input, sensitivity });
        }
        let independent = Correlations::none(lines.len());
        Budget::new("true RMS current", "A", shown_a / gain, lines, independent)
    }

    /// The same by trials, inputs and order as in [`Self::budget`].
    ///
    /// # Errors
    /// As [`MonteCarlo::run`].
    pub fn trials(&self, shown_a: f64, monte_carlo: &MonteCarlo) -> Result<MonteCarloRun> {
        let inputs = self.budget(shown_a)?.inputs();
        // The gain comes last, where it varies at all.
        let varies = self.gain.high_ratio > self.gain.low_ratio;
        let (errors, fixed) = (inputs.len() - usize::from(varies), self.gain.middle_ratio());
        monte_carlo.run(&inputs, &Correlations::none(inputs.len()), |x| {
            let gain = if varies { x[errors] } else { fixed };
            x[..errors].iter().sum::<f64>() / gain
        })
    }

    /// What is known of the true current at a number shown.
    #[must_use]
    pub fn knowledge(&self, shown_a: f64) -> Knowledge {
        let gain = self.gain.middle_ratio();
        let entries = self.entries(shown_a);
        let part = |entry: &Entry| Part {
            size: (entry.sensitivity(shown_a, gain) * entry.estimate.standard_uncertainty).abs(),
            is_rectangular: matches!(entry.distribution, Distribution::Rectangular { .. }),
        };
        let parts: Vec<Part> = entries.iter().map(part).collect();
        Knowledge::Shaped {
            value: shown_a / gain,
            shape: Shape::of_sum(&parts, effective_freedom(&entries, &parts)),
        }
    }

    /// The true current at a number shown, with its interval and its probability of lying in a band.
    ///
    /// # Errors
    /// As [`Budget::new`] and [`Budget::expanded`].
    pub fn at(&self, shown_a: f64, band: &Limits) -> Result<ShownCurrent> {
        let budget = self.budget(shown_a)?;
        let estimate = budget.estimate();
        Ok(ShownCurrent {
            shown_a,
            true_a: estimate.value,
            standard_uncertainty_a: estimate.standard_uncertainty,
            expanded: budget.expanded(self.terms.conformance_probability)?,
            conformance_probability: self.knowledge(shown_a).conformance_probability(band),
        })
    }

    /// Every uncertain quantity at a number shown; what is zero or not stated is left out.
    fn entries(&self, shown_a: f64) -> Vec<Entry> {
        let limits = ErrorLimits::at(
            self.sheet,
            &self.range,
            &Conditions {
                reading_a: shown_a,
                crest_factor: self.crest_factor,
                frequency_hz: self.frequency_hz,
                ambient_degc: self.terms.ambient_degc,
            },
        );
        let mut entries = Vec::with_capacity(10);
        if let Some(scatter) = self.terms.scatter {
            let scale = scatter.standard_ratio * shown_a;
            let degrees_of_freedom = scatter.degrees_of_freedom;
            let law = Distribution::StudentT { mean: 0.0, scale, degrees_of_freedom };
            let estimate = Estimate { value: 0.0, standard_uncertainty: scale, degrees_of_freedom };
            entries.extend((scale > 0.0).then_some(Entry {
                contributor: Contributor::Repeatability,
                estimate,
                distribution: law,
                evaluation: Evaluation::TypeA,
            }));
        }
        for (contributor, half_width_a) in [
            (Contributor::Accuracy, limits.accuracy_a),
            (Contributor::Crest, limits.crest_a),
            (Contributor::ClampRatio, limits.clamp_a),
            (Contributor::Position, limits.position_a),
            (Contributor::Temperature, limits.temperature_a),
            (Contributor::Resolution, Some(limits.resolution_a)),
        ] {
            let half_width_a = half_width_a.unwrap_or(0.0);
            let law = Distribution::Rectangular { low: -half_width_a, high: half_width_a };
            entries.extend((half_width_a > 0.0).then(|| Entry::of(contributor, law)).flatten());
        }
        if let Some(certificate) = &self.sheet.certificate {
            let standard_uncertainty = certificate.standard_ratio() * shown_a;
            let law = Distribution::Normal { mean: 0.0, standard_uncertainty };
            let entry = || Entry::of(Contributor::Certificate, law);
            entries.extend((standard_uncertainty > 0.0).then(entry).flatten());
        }
        let window_a = self.window_ratio * shown_a;
        if window_a > 0.0 {
            let law = Distribution::ArcSine { low: -window_a, high: window_a };
            entries.extend(Entry::of(Contributor::Window, law));
        }
        let GainSpread { low_ratio, high_ratio } = self.gain;
        if high_ratio > low_ratio {
            let law = Distribution::Rectangular { low: low_ratio, high: high_ratio };
            entries.extend(Entry::of(Contributor::Waveform, law));
        }
        entries
    }
}

impl Entry {
    /// Type B; `None` for a distribution without a variance, of which there is none here.
    fn of(contributor: Contributor, distribution: Distribution) -> Option<Self> {
        let estimate = Estimate {
            value: distribution.mean(),
            standard_uncertainty: distribution.standard_uncertainty()?,
            degrees_of_freedom: f64::INFINITY,
        };
        Some(Self { contributor, estimate, distribution, evaluation: Evaluation::TypeB })
    }

    /// ∂I/∂δ = 1/g; ∂I/∂g = −D/g².
    fn sensitivity(&self, shown_a: f64, gain: f64) -> f64 {
        if self.contributor == Contributor::Waveform {
            -shown_a / (gain * gain)
        } else {
            1.0 / gain
        }
    }
}

/// Welch and Satterthwaite: only repeatability has finite degrees of freedom.
fn effective_freedom(entries: &[Entry], parts: &[Part]) -> f64 {
    let variance: f64 = parts.iter().map(|part| part.size * part.size).sum();
    let sum: f64 = entries
        .iter()
        .zip(parts)
        .map(|(entry, part)| part.size.powi(4) / entry.estimate.degrees_of_freedom)
        .sum();
    if sum > 0.0 { (variance * variance / sum * (1.0 + 1e-12)).floor() } else { f64::INFINITY }
}
