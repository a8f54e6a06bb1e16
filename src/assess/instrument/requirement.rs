use jiff::civil::Date;

use crate::error::{Error, Result};
use crate::meter::{
    Accuracy, AccuracyLine, Bandwidth, Certificate, Clamp, Converter, CrestCapability, Detector,
    IronCore, MeasurementCategory, Range, RangeRule, Ranges, Sheet, Signal, TransformerClass,
    VoltageCategory,
};
use crate::waveform::Coupling;

use super::{Instrument, StepCurrents, Suitability, Terms, Verdict, ladders, purchase_text};

/// The least demanding data sheet that is fit at every step: what to buy, with no brand.
///
/// No single value of it can be taken one rung down its ladder of round numbers without losing "fit"
/// somewhere.
#[derive(Clone, Debug, PartialEq)]
pub struct Requirement {
    /// The data sheet, as a meter to be judged.
    pub sheet: Sheet,
    /// Accuracy: part of the reading.
    pub accuracy_ratio: f64,
    /// Accuracy: counts beside it.
    pub accuracy_counts: f64,
    /// The lowest nominal it must hold at.
    pub lowest_a: f64,
    /// Range it is asked for on.
    pub range_a: f64,
    /// Crest factor at the full scale of that range.
    pub crest_factor_at_range: f64,
    /// Largest peak among the currents.
    pub highest_peak_a: f64,
    /// Largest crest factor among the currents.
    pub highest_crest_factor: f64,
    /// Bandwidth, as one pole.
    pub bandwidth_hz: f64,
    /// Step of the last digit.
    pub resolution_a: f64,
    /// Class and rated current of an iron-core clamp; `None` for a clamp whose error is within the
    /// accuracy.
    pub clamp: Option<(TransformerClass, f64)>,
    /// Largest error by the position of the conductor.
    pub position_ratio: f64,
    /// Expanded uncertainty of the certificate, k = 2, over the reading.
    pub certificate_ratio: f64,
    /// Measurement category and working voltage; `None` when the loop's voltage is not known.
    pub category: Option<VoltageCategory>,
    /// Mains frequency.
    pub frequency_hz: f64,
    /// What that sheet achieves, step by step.
    pub verdicts: Vec<Verdict>,
}

/// Places on the ladders, 0 the most demanding.
#[derive(Clone, Copy)]
struct Choice([usize; PARAMETERS]);

const PARAMETERS: usize = 7;
const ACCURACY: usize = 0;
const COUPLING: usize = 1;
const BANDWIDTH: usize = 2;
const RESOLUTION: usize = 3;
const CLASS: usize = 4;
const RATED: usize = 5;
const POSITION: usize = 6;

/// Detectors that can be plainly fit: any other law is right for one waveform only.
const DETECTOR: [Detector; 2] = [Detector::TrueRms(Coupling::Dc), Detector::TrueRms(Coupling::Ac)];

/// Share of the accuracy that its calibration may be uncertain by. Common practice, no source.
const CERTIFICATE_RATIO: f64 = 0.25;
/// Room above the largest peak. Our own choice: a tenth, for what no waveform here has shown.
const PEAK_ROOM_RATIO: f64 = 1.1;

/// What the currents set without any choice.
struct Frame {
    frequency_hz: f64,
    range_a: f64,
    crest_factor_at_range: f64,
    highest_peak_a: f64,
    highest_crest_factor: f64,
    lowest_a: f64,
    rated: Vec<f64>,
    category: Option<VoltageCategory>,
}

impl Requirement {
    /// The requirement for all the steps of all the circuits that one meter is to serve.
    ///
    /// Accuracy is relaxed first and then taken one rung back, so that the other values have room;
    /// then all are relaxed in turn while every step stays fit.
    ///
    /// # Errors
    /// `Inconsistent` for no step, or when not even the most demanding sheet is fit: the band or the
    /// spread of the currents leaves nothing; what stands in the way is named. Otherwise as
    /// [`Verdict::new`].
    pub fn new(steps: &[StepCurrents], terms: &Terms) -> Result<Self> {
        terms.check()?;
        let frame = Frame::of(steps)?;
        let signals: Vec<Vec<Signal<'_>>> = steps.iter().map(StepCurrents::signals).collect();
        let judge = |choice: Choice| frame.judge(choice, steps, &signals, terms);
        let is_fit = |choice: Choice| -> Result<bool> {
            Ok(judge(choice)?.iter().all(|verdict| verdict.suitability == Suitability::Fit))
        };
        let mut choice = Choice([0; PARAMETERS]);
        if let Some(bad) =
            judge(choice)?.iter().find(|verdict| verdict.suitability != Suitability::Fit)
        {
            return Err(Error::inconsistent(format!(
                "no meter is fit at step {}, {}: with the most demanding data sheet it is {}",
                bad.step.number,
                bad.connection.words(),
                bad.sentence()
            ))
            .with_hint("judge fewer kinds of load together, or ask for a lower probability"));
        }
        let last = |parameter: usize| match parameter {
            ACCURACY => ladders::ACCURACY_RATIO.len() - 1,
            COUPLING => DETECTOR.len() - 1,
            BANDWIDTH => ladders::BANDWIDTH_HZ.len() - 1,
            RESOLUTION => ladders::RESOLUTION_A.len() - 1,
            CLASS => ladders::CLAMP_CLASS.len() - 1,
            RATED => frame.rated.len() - 1,
            _ => ladders::POSITION_RATIO.len() - 1,
        };
        let relaxed = |mut choice: Choice, parameter: usize| -> Result<Choice> {
            while choice.0[parameter] < last(parameter) {
                let mut next = choice;
                next.0[parameter] += 1;
                if !is_fit(next)? {
                    break;
                }
                choice = next;
            }
            Ok(choice)
        };
        choice = relaxed(choice, ACCURACY)?;
        choice.0[ACCURACY] = choice.0[ACCURACY].saturating_sub(1);
        // Relaxing one value never makes room for another, but a rung on one ladder can be too wide
        // and the next ladder's fit: round by round until nothing moves.
        loop {
            let before = choice.0;
            for parameter in [COUPLING, BANDWIDTH, RESOLUTION, CLASS, RATED, POSITION, ACCURACY] {
                choice = relaxed(choice, parameter)?;
            }
            if choice.0 == before {
                return Ok(frame.requirement(choice, judge(choice)?));
            }
        }
    }

    /// The requirement as text for a purchase order, one demand to a line.
    #[must_use]
    pub fn purchase_text(&self) -> Vec<String> {
        purchase_text::lines(self)
    }
}

impl Frame {
    fn of(steps: &[StepCurrents]) -> Result<Self> {
        let waveforms = || {
            steps.iter().flat_map(|step| step.currents().iter().map(|current| &current.waveform))
        };
        let frequency_hz = waveforms()
            .map(crate::waveform::Waveform::frequency_hz)
            .next()
            .ok_or_else(|| Error::inconsistent("no step is given"))?;
        let nominal = |step: &StepCurrents| step.step().nominal.a();
        let top_a = steps.iter().map(nominal).fold(0.0, f64::max);
        let lowest_a = steps.iter().map(nominal).fold(f64::INFINITY, f64::min);
        let (mut highest_peak_a, mut highest_crest_factor) = (0.0_f64, 0.0_f64);
        for measures in waveforms().map(crate::waveform::Waveform::measures) {
            highest_peak_a = highest_peak_a.max(measures.dc.peak_a);
            highest_crest_factor = highest_crest_factor.max(measures.dc.peak_a / measures.dc.rms_a);
        }
        let too_much = |what: &str| Error::inconsistent(format!("no ladder reaches {what}"));
        let range_a = ladders::at_least(&ladders::FULL_SCALE_A, PEAK_ROOM_RATIO * top_a)
            .ok_or_else(|| too_much("the current of the top step"))?;
        let needed = PEAK_ROOM_RATIO * highest_peak_a / range_a;
        let crest_factor_at_range = ladders::at_least(&ladders::CREST_FACTOR, needed)
            .ok_or_else(|| too_much("the largest peak"))?;
        let loop_rms_v = steps.iter().filter_map(StepCurrents::loop_rms_v).reduce(f64::max);
        let category = loop_rms_v
            .map(|loop_rms_v| {
                let working_v = ladders::at_least(&ladders::WORKING_V, loop_rms_v)
                    .ok_or_else(|| too_much("the voltage of the loop"))?;
                Ok(VoltageCategory { category: MeasurementCategory::Three, working_v })
            })
            .transpose()?;
        let rated: Vec<f64> =
            ladders::RATED_A.iter().copied().filter(|rated_a| *rated_a >= top_a).collect();
        if rated.is_empty() {
            return Err(too_much("the current of the top step"));
        }
        Ok(Self {
            frequency_hz,
            range_a,
            crest_factor_at_range,
            highest_peak_a,
            highest_crest_factor,
            lowest_a,
            rated,
            category,
        })
    }

    fn clamp(&self, choice: Choice) -> Option<(TransformerClass, f64)> {
        ladders::CLAMP_CLASS[choice.0[CLASS]].map(|class| (class, self.rated[choice.0[RATED]]))
    }

    fn sheet(&self, choice: Choice) -> Sheet {
        let clamp = self.clamp(choice).map_or(Clamp::Direct, |(class, rated_a)| {
            Clamp::IronCore(IronCore {
                rated_a,
                class: Some(class),
                low_cutoff_hz: None,
                saturation_peak_a: None,
            })
        });
        let range = Range {
            full_scale_a: self.range_a,
            resolution_a: ladders::RESOLUTION_A[choice.0[RESOLUTION]],
        };
        let accuracy_ratio = ladders::ACCURACY_RATIO[choice.0[ACCURACY]];
        Sheet {
            detector: DETECTOR[choice.0[COUPLING]],
            clamp,
            position_ratio: Some(ladders::POSITION_RATIO[choice.0[POSITION]]),
            ranges: Ranges { list: vec![range], rule: RangeRule::Manual(0) },
            bandwidth: Bandwidth::Poles(vec![ladders::BANDWIDTH_HZ[choice.0[BANDWIDTH]]]),
            calibrated_hz: None,
            crest: Some(CrestCapability {
                at_full_scale: self.crest_factor_at_range,
                cap: None,
                bands: Vec::new(),
            }),
            converter: Converter::Analogue,
            display_counts: None,
            accuracy: Accuracy {
                lines: vec![AccuracyLine::new(
                    0.9 * self.frequency_hz,
                    1.1 * self.frequency_hz,
                    accuracy_ratio,
                    ladders::COUNTS,
                )],
            },
            temperature: None,
            certificate: Some(Certificate {
                number: String::new(),
                date: Date::MIN,
                due: None,
                expanded_ratio: CERTIFICATE_RATIO * accuracy_ratio,
                coverage_factor: 2.0,
            }),
            category: self.category,
        }
    }

    fn judge(
        &self,
        choice: Choice,
        steps: &[StepCurrents],
        signals: &[Vec<Signal<'_>>],
        terms: &Terms,
    ) -> Result<Vec<Verdict>> {
        let (name, sheet) = ("as required", self.sheet(choice));
        let instrument = Instrument::new(name, sheet, self.frequency_hz, terms.ambient_degc)?;
        steps
            .iter()
            .zip(signals)
            .map(|(step, signals)| Verdict::of_signals(&instrument, step, signals, terms))
            .collect()
    }

    fn requirement(&self, choice: Choice, verdicts: Vec<Verdict>) -> Requirement {
        let accuracy_ratio = ladders::ACCURACY_RATIO[choice.0[ACCURACY]];
        Requirement {
            sheet: self.sheet(choice),
            accuracy_ratio,
            accuracy_counts: ladders::COUNTS,
            lowest_a: self.lowest_a,
            range_a: self.range_a,
            crest_factor_at_range: self.crest_factor_at_range,
            highest_peak_a: self.highest_peak_a,
            highest_crest_factor: self.highest_crest_factor,
            bandwidth_hz: ladders::BANDWIDTH_HZ[choice.0[BANDWIDTH]],
            resolution_a: ladders::RESOLUTION_A[choice.0[RESOLUTION]],
            clamp: self.clamp(choice),
            position_ratio: ladders::POSITION_RATIO[choice.0[POSITION]],
            certificate_ratio: CERTIFICATE_RATIO * accuracy_ratio,
            category: self.category,
            frequency_hz: self.frequency_hz,
            verdicts,
        }
    }
}
