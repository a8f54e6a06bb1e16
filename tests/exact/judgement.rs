//! Verdicts on meters against closed forms: a fundamental with a third harmonic h at 180 degrees, and
//! the top step of the UFC bands, 6.40 to 6.70 A around 6.6 A (UFC 3-535-01, table 15-3).
//!
//! Gains (shown over true): average-responding (1 − h/3)/√(1 + h²), peak-responding
//! (1 + h)/√(1 + h²), true RMS 1.

use loopcrest::assess::{Fitness, Judgement, StepCase, Survey};
use loopcrest::lamp::{LampLaw, LifeChange};
use loopcrest::meter::{Detector, Meter};
use loopcrest::regulator::{BandSet, CircuitClass, Placement, Step, StepTable};
use loopcrest::waveform::{Coupling, Harmonic, Scale, Shape, Synthesis, TrueRms, Waveform};

use crate::support::{assert_absolute, assert_relative};

const NOMINAL_A: f64 = 6.6;
const LOW_A: f64 = 6.40;
const HIGH_A: f64 = 6.70;
const RATED: TrueRms = TrueRms::stated_a(NOMINAL_A);
const AVERAGE: Detector = Detector::AverageResponding(Coupling::Ac);
const PEAK: Detector = Detector::PeakResponding(Coupling::Ac);
const TRUE: Detector = Detector::TrueRms(Coupling::Dc);
const WHY: &str = "7200 samples: (π/7200)² of the average, a quarter cell off the peak";
const TOLERANCE: f64 = 1e-6;

fn top_step() -> Step {
    StepTable::published(CircuitClass::FiveStep6A6, BandSet::Ufc2005).unwrap().top().clone()
}

fn with_third(h: f64) -> Waveform {
    let third = Harmonic { order: 3, ratio: h, phase_rad: std::f64::consts::PI };
    Synthesis::new(Shape::Harmonics(vec![third]), Scale::RmsA(NOMINAL_A)).waveform().unwrap()
}

fn meter(detector: Detector) -> Meter {
    Meter::ideal(detector.words(), detector)
}

fn judged(waveform: &Waveform, detector: Detector) -> Judgement {
    let law = LampLaw::default();
    Judgement::new(&meter(detector), &top_step(), &waveform.measures(), &law, RATED).unwrap()
}

/// Every number of a judgement from its gain; the room above the nominal is 0.10 A, below it 0.20 A.
fn check(judgement: &Judgement, gain: f64) {
    assert_relative(judgement.shown.shown_a(), gain * NOMINAL_A, TOLERANCE, WHY);
    assert_absolute(judgement.error_a, (gain - 1.0) * NOMINAL_A, 10.0 * TOLERANCE, WHY);
    assert_absolute(judgement.error_ratio, gain - 1.0, TOLERANCE, WHY);
    let (low_a, high_a) = judgement.set_band_a.unwrap();
    assert_relative(low_a, gain * LOW_A, TOLERANCE, WHY);
    assert_relative(high_a, gain * HIGH_A, TOLERANCE, WHY);
    let trimmed = judgement.trimmed.unwrap();
    let true_a = NOMINAL_A / gain;
    assert_relative(trimmed.true_rms.a(), true_a, TOLERANCE, WHY);
    let share =
        if true_a > NOMINAL_A { (true_a - NOMINAL_A) / 0.1 } else { (NOMINAL_A - true_a) / 0.2 };
    assert_absolute(trimmed.band_share_ratio.unwrap(), share, 100.0 * TOLERANCE, WHY);
}

/// h = 0.2: an average-responding meter shows 0.9152 of the truth, so that trimming by it ends at
/// 6.6/0.9152 = 7.21 A, with light (7.21/6.6)^(3.4/0.55) = 1.73; a peak-responding one shows 1.1767.
#[test]
fn exact_judgement_of_a_peaked_current() {
    let waveform = with_third(0.2);
    let root = f64::sqrt(1.04);
    let average = judged(&waveform, AVERAGE);
    check(&average, (1.0 - 0.2 / 3.0) / root);
    assert_eq!(average.fitness, Fitness::NotFit);
    let trimmed = average.trimmed.unwrap();
    assert_eq!(trimmed.placement, Placement::High);
    assert_absolute(trimmed.true_rms.a(), 7.21, 5e-3, "two decimals");
    assert_absolute(trimmed.effect.light_ratio.unwrap(), 1.73, 5e-3, "two decimals");
    assert!(!trimmed.effect.light_credible, "9 % of current is beyond 5.4 %");
    assert_eq!(trimmed.effect.life, LifeChange::MuchShorter);

    let peak = judged(&waveform, PEAK);
    check(&peak, 1.2 / root);
    assert_eq!(peak.fitness, Fitness::NotFit);
    let trimmed = peak.trimmed.unwrap();
    assert_eq!((trimmed.placement, trimmed.effect.light_ratio), (Placement::Low, None));
    assert_eq!(trimmed.effect.life, LifeChange::MuchLonger);

    let truth = judged(&waveform, TRUE);
    check(&truth, 1.0);
    assert_eq!(
        (truth.fitness, truth.trimmed.unwrap().placement),
        (Fitness::Fit, Placement::Inside)
    );
}

/// On a sine every law is right: it may set the step and uses nothing of its room.
#[test]
fn exact_judgement_of_a_sine() {
    let sine = Synthesis::new(Shape::Sine, Scale::RmsA(NOMINAL_A)).waveform().unwrap();
    for detector in Detector::ALL {
        let judgement = judged(&sine, detector);
        check(&judgement, 1.0);
        assert_eq!(judgement.fitness, Fitness::Fit, "{detector:?}");
        let effect = judgement.trimmed.unwrap().effect;
        assert_relative(effect.light_ratio.unwrap(), 1.0, 1e-5, "the gain to the power of 6.2");
        assert!(effect.light_credible);
    }
}

/// h = 0.03 brings the circuit to 6.670 A: inside, but 0.70 of the way to the edge. With h = 0.02 it
/// comes to 6.6457 A: 0.46 of the way, below the half from which a fit is called tight.
#[test]
fn exact_tight_from_half_of_the_room() {
    for (h, fitness) in [(0.03, Fitness::Tight), (0.02, Fitness::Fit)] {
        let judgement = judged(&with_third(h), AVERAGE);
        check(&judgement, (1.0 - h / 3.0) / f64::sqrt(1.0 + h * h));
        assert_eq!(judgement.fitness, fitness, "h = {h}");
        let trimmed = judgement.trimmed.unwrap();
        assert_eq!(trimmed.placement, Placement::Inside);
        assert!(trimmed.effect.light_credible);
    }
}

/// A direct current is nothing behind a current transformer; what keeps the mean shows all of it.
#[test]
fn exact_blind_meters_set_nothing() {
    let direct = Waveform::new(vec![NOMINAL_A; 7200], 7200, 1.0 / (60.0 * 7200.0)).unwrap();
    for detector in [AVERAGE, PEAK, Detector::TrueRms(Coupling::Ac)] {
        let judgement = judged(&direct, detector);
        assert_eq!(judgement.fitness, Fitness::Blind, "{detector:?}");
        assert_eq!(judgement.shown.shown_a(), 0.0, "nothing");
        assert!(judgement.set_band_a.is_none() && judgement.trimmed.is_none());
        assert_eq!(judgement.error_ratio, -1.0, "nothing of it");
    }
    let judgement = judged(&direct, Detector::MovingIron);
    check(&judgement, 1.0);
    assert_eq!(judgement.fitness, Fitness::Fit);
    // The rectified mean of a constant is the constant, times π/(2√2).
    check(&judged(&direct, Detector::RectifierMovingCoil), 1.110_720_734_539_591_5);
}

/// A meter that shows next to nothing drives the current far beyond every law; that is a verdict.
#[test]
fn exact_a_far_too_low_reading_is_a_verdict() {
    let synthesis =
        Synthesis { offset_ratio: 100.0, ..Synthesis::new(Shape::Sine, Scale::RmsA(NOMINAL_A)) };
    // The sine is 1/√(1 + 100²) of the whole.
    let judgement = judged(&synthesis.waveform().unwrap(), Detector::TrueRms(Coupling::Ac));
    assert_eq!(judgement.fitness, Fitness::NotFit);
    let trimmed = judgement.trimmed.unwrap();
    assert_relative(trimmed.true_rms.a(), 6.6 * f64::sqrt(10_001.0), 1e-9, "rounding of the sums");
    assert_eq!((trimmed.effect.light_ratio, trimmed.placement), (None, Placement::High));
    assert_eq!(trimmed.effect.life, LifeChange::MuchShorter);
}

/// Two steps, three meters: the table of the survey is the judgements, each in its place.
#[test]
fn exact_survey_of_two_steps_and_three_meters() {
    let table = StepTable::published(CircuitClass::FiveStep6A6, BandSet::Ufc2005).unwrap();
    let case = |number: u32, h: f64| {
        let step = table.step(number).unwrap().clone();
        let third = Harmonic { order: 3, ratio: h, phase_rad: std::f64::consts::PI };
        let scale = Scale::RmsA(step.nominal.a());
        let waveform = Synthesis::new(Shape::Harmonics(vec![third]), scale).waveform().unwrap();
        StepCase { step, waveform, origin: "a third harmonic".into() }
    };
    let meters = [meter(TRUE), meter(AVERAGE), meter(PEAK)];
    let survey =
        Survey::new(&[case(5, 0.2), case(1, 0.03)], &meters, &LampLaw::default(), RATED).unwrap();
    let errors = survey.error_ratios();
    assert_eq!(errors.dim(), (2, 3));
    for (row, h) in [0.2, 0.03].into_iter().enumerate() {
        let root = f64::sqrt(1.0 + h * h);
        assert_absolute(errors[(row, 0)], 0.0, TOLERANCE, WHY);
        assert_absolute(errors[(row, 1)], (1.0 - h / 3.0) / root - 1.0, TOLERANCE, WHY);
        assert_absolute(errors[(row, 2)], (1.0 + h) / root - 1.0, TOLERANCE, WHY);
    }
    // Step 1: 2.72 to 2.88 A around 2.8 A. Average: 2.8296 A, 0.37 of the way; peak: 2.7197 A, low.
    assert!(survey.fit_everywhere(0) && !survey.fit_everywhere(1) && !survey.fit_everywhere(2));
    assert_eq!(survey.steps_with(1, &[Fitness::NotFit]), [5]);
    assert_eq!(survey.steps_with(1, &[Fitness::Fit]), [1]);
    assert_eq!(survey.steps_with(2, &[Fitness::NotFit, Fitness::Blind]), [5, 1]);
}
