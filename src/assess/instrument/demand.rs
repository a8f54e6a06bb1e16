//! Data sheets to choose a requirement from: places on ladders of round numbers.

use jiff::civil::Date;

use crate::error::{Error, Result};
use crate::meter::{
    Accuracy, AccuracyLine, Bandwidth, Certificate, Clamp, Converter, CrestCapability, Detector,
    IronCore, MeasurementCategory, Range, RangeRule, Ranges, Sheet, Signal, TransformerClass,
    VoltageCategory,
};
use crate::waveform::{Coupling, Waveform};

use super::{Instrument, Requirement, StepCurrents, Terms, Verdict, ladders};

/// Places on the ladders, 0 the most demanding.
#[derive(Clone, Copy)]
pub(super) struct Choice(pub(super) [usize; PARAMETERS]);

pub(super) const PARAMETERS: usize = 7;
pub(super) const ACCURACY: usize = 0;
pub(super) const COUPLING: usize = 1;
pub(super) const BANDWIDTH: usize = 2;
pub(super) const RESOLUTION: usize = 3;
pub(super) const CLASS: usize = 4;
pub(super) const RATED: usize = 5;
pub(super) const POSITION: usize = 6;

/// Detectors that can be plainly fit: any other law is right for one waveform only.
const DETECTOR: [Detector; 2] = [Detector::TrueRms(Coupling::Dc), Detector::TrueRms(Coupling::Ac)];

/// Share of the accuracy that its calibration may be uncertain by. Common practice, no source.
const CERTIFICATE_RATIO: f64 = 0.25;
/// Room above the largest peak. Our own choice: a tenth, for what no waveform here has shown.
const PEAK_ROOM_RATIO: f64 = 1.1;

/// What the currents set without any choice.
pub(super) struct Frame {
    frequency_hz: f64,
    range_a: f64,
    crest_factor_at_range: f64,
    highest_peak_a: f64,
    highest_crest_factor: f64,
    lowest_a: f64,
    rated: Vec<f64>,
    category: Option<VoltageCategory>,
}

impl Frame {
    pub(super) fn of(steps: &[StepCurrents]) -> Result<Self> {
        let waveforms = || {
            steps.iter().flat_map(|step| step.currents().iter().map(|current| &current.waveform))
        };
        let frequency_hz = waveforms()
            .map(Waveform::frequency_hz)
            .next()
            .ok_or_else(|| Error::inconsistent("no step is given"))?;
        let nominal = |step: &StepCurrents| step.step().nominal.a();
        let top_a = steps.iter().map(nominal).fold(0.0, f64::max);
        let lowest_a = steps.iter().map(nominal).fold(f64::INFINITY, f64::min);
        let (mut highest_peak_a, mut highest_crest_factor) = (0.0_f64, 0.0_f64);
        for measures in waveforms().map(Waveform::measures) {
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

    /// The last rung of a parameter's ladder.
    pub(super) fn last(&self, parameter: usize) -> usize {
        let rungs = match parameter {
            ACCURACY => ladders::ACCURACY_RATIO.len(),
            COUPLING => DETECTOR.len(),
            BANDWIDTH => ladders::BANDWIDTH_HZ.len(),
            RESOLUTION => ladders::RESOLUTION_A.len(),
            CLASS => ladders::CLAMP_CLASS.len(),
            RATED => self.rated.len(),
            _ => ladders::POSITION_RATIO.len(),
        };
        rungs - 1
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

    pub(super) fn judge(
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

    pub(super) fn requirement(&self, choice: Choice, verdicts: Vec<Verdict>) -> Requirement {
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
