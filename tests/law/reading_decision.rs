//! What must hold for decisions about one reading, and for the currents they rest on.

use std::path::Path;

use loopcrest::assess::instrument::{
    Connection, CorrectedReading, GainSpread, Instrument, PossibleCurrent, ReadingDecision, Reason,
    StepCurrents, Suitability, Terms, Verdict,
};
use loopcrest::cited::Source;
use loopcrest::description::Description;
use loopcrest::meter::{AccuracyLine, Certificate, Detector, Sheet};
use loopcrest::regulator::{Band, Step};
use loopcrest::uncertainty::decision::Outcome;
use loopcrest::waveform::{Coupling, Shape, TrueRms};

use crate::support::{assert_absolute, assert_relative, unit_shape};

fn step(low_a: f64, high_a: f64) -> Step {
    Step {
        number: 5,
        nominal: TrueRms::stated_a(6.6),
        band: Band::new(low_a, high_a).unwrap(),
        source: Source::entered("values of this test"),
        remark: None,
    }
}

fn sine_at(step: Step) -> StepCurrents {
    let waveform = unit_shape(Shape::Sine, 3600);
    let current = PossibleCurrent { origin: "sine".to_owned(), waveform };
    StepCurrents::new(step, Connection::Shorted, None, vec![current]).unwrap()
}

/// An ideal meter but for a certificate: its uncertainty is normal, U of the reading at k = 2.
fn certified(expanded_ratio: f64) -> Instrument {
    let mut sheet = Sheet::ideal(Detector::TrueRms(Coupling::Dc));
    sheet.accuracy.lines = vec![AccuracyLine::new(40.0, 70.0, 0.0, 0.0)];
    sheet.certificate = Some(Certificate {
        number: "1".to_owned(),
        date: jiff::civil::date(2026, 1, 1),
        due: None,
        expanded_ratio,
        coverage_factor: 2.0,
    });
    Instrument::new("meter", sheet, 60.0, None).unwrap()
}

fn decide(
    instrument: &Instrument,
    step: &Step,
    shown_a: f64,
    prior: Option<f64>,
) -> ReadingDecision {
    let currents = sine_at(step.clone());
    let readings = instrument.read_all(&currents.signals()).unwrap();
    let terms = Terms::default();
    let reading = CorrectedReading::new(instrument.sheet(), &readings, 60.0, &terms).unwrap();
    ReadingDecision::new(&reading, step, shown_a, prior).unwrap()
}

/// Simple acceptance accepts the band, the guard band accepts it less U on either side; what the
/// guard band saves in false accepts it pays for in false rejects.
#[test]
fn law_guard_band_buys_false_accepts_with_false_rejects() {
    let step = step(6.4, 6.7);
    let decision = decide(&certified(0.01), &step, 6.62, None);
    let expanded_a = decision.shown.expanded.half_width;
    // k of 95 % against the k = 2 of the certificate.
    assert_relative(expanded_a, 6.62 * 0.005 * 1.959_964, 1e-6, "digits of the normal quantile");
    let [simple, guarded] = decision.rules.as_slice() else { panic!("two rules") };
    let limits = simple.acceptance.limits().unwrap();
    assert_eq!((limits.lower(), limits.upper()), (Some(6.4), Some(6.7)));
    let limits = guarded.acceptance.limits().unwrap();
    assert_absolute(limits.lower().unwrap(), 6.4 + expanded_a, 1e-12, "closed form");
    assert_absolute(limits.upper().unwrap(), 6.7 - expanded_a, 1e-12, "closed form");
    let (simple, guarded) = (simple.global.unwrap(), guarded.global.unwrap());
    assert!(guarded.false_accept < 0.2 * simple.false_accept, "{guarded:?} {simple:?}");
    assert!(guarded.false_reject > simple.false_reject, "{guarded:?} {simple:?}");
    // Two standard deviations of the prior to each edge.
    assert_relative(simple.in_tolerance, 0.954_499_7, 1e-7, "digits of the normal integral");
    let ratio = decision.test_ratio.unwrap().ratio;
    assert_relative(ratio, 0.15 / expanded_a, 1e-12, "closed form");
    assert!(decision.specific.conformance_probability > 0.95, "{:?}", decision.specific);
}

/// Where U is larger than half of the band the guard bands meet: not even dead centre passes.
#[test]
fn law_nothing_is_accepted_where_guard_bands_meet() {
    let decision = decide(&certified(0.03), &step(6.5, 6.7), 6.6, Some(0.02));
    assert_absolute(decision.prior_deviation_a, 0.132, 1e-12, "2 % of 6.6 A");
    let [simple, guarded] = decision.rules.as_slice() else { panic!("two rules") };
    assert_eq!(simple.outcome, Outcome::Pass);
    assert_eq!(guarded.outcome, Outcome::ConditionalPass);
    assert!(guarded.acceptance.limits().is_none() && guarded.global.is_none());
}

/// A display whose last digit leaves one number in the set-band cannot be aimed at.
#[test]
fn law_one_number_is_no_set_band() {
    let coarse = |resolution_a: f64| {
        let mut sheet = Sheet::ideal(Detector::TrueRms(Coupling::Dc));
        sheet.accuracy.lines = vec![AccuracyLine::new(40.0, 70.0, 0.002, 0.0)];
        sheet.ranges.list[0].resolution_a = resolution_a;
        let instrument = Instrument::new("meter", sheet, 60.0, None).unwrap();
        Verdict::new(&instrument, &sine_at(step(6.4, 6.8)), &Terms::default()).unwrap()
    };
    let verdict = coarse(0.2);
    assert_eq!(verdict.suitability, Suitability::NotFit, "{}", verdict.sentence());
    let few =
        |reason: &Reason| matches!(reason, Reason::FewDigits { numbers, .. } if *numbers < 2.0);
    assert!(verdict.reasons.iter().any(few), "{:?}", verdict.reasons);
    assert!(verdict.sentence().contains("only one number"), "{}", verdict.sentence());
    assert_eq!(coarse(0.01).suitability, Suitability::Fit);
}

fn described(field: &str, recheck: &str) -> Description {
    let text = format!(
        "format = 1\ntitle = \"bench\"\ninvented = true\n[steps]\ncircuit = \"6.6A-5-step\"\n\
         [regulator]\nrating = \"10 kW\"\nload = \"2 %\"\n{recheck}\n\
         [[meter]]\nname = \"clamp\"\ndetector = \"average\"\n{field}"
    );
    Description::parse(&text, Path::new("")).unwrap()
}

/// Lamps out are among the currents where a field is described, and widen what an average-responding
/// clamp may show; where none is, it is said.
#[test]
fn law_lamps_out_widen_the_correction() {
    let field = "[[field.group]]\ncount = 40\npower = \"120 W\"\n";
    let described_field = described(field, "");
    let gain = |ratios: &[f64]| {
        let places = described_field.possible_currents_with(ratios).unwrap().value;
        let loaded: Vec<_> =
            places.into_iter().filter(|place| place.connection() == Connection::Loaded).collect();
        assert_eq!(loaded.len(), 5);
        assert_eq!(loaded[4].currents().len(), ratios.len());
        let sheet = Sheet::ideal(Detector::AverageResponding(Coupling::Ac));
        let meter = Instrument::new("clamp", sheet, 60.0, None).unwrap();
        GainSpread::of(&meter.read_all(&loaded[4].signals()).unwrap()).unwrap()
    };
    let (whole, out) = (gain(&[0.0]), gain(&Description::LAMPS_OUT_RATIOS));
    assert_absolute(whole.high_ratio, whole.low_ratio, 0.0, "one current, one gain");
    // With one lamp in ten out such a meter reads 3 to 5 % low on this kind of source.
    assert!(out.high_ratio - out.low_ratio > 0.01, "{out:?}");
    assert!(out.low_ratio <= whole.low_ratio && out.high_ratio >= whole.high_ratio, "{out:?}");
    assert!(described_field.possible_currents_with(&[1.2]).is_err());
    let code = "no-lamps-out";
    let says = |description: &Description| {
        let notes = description.possible_currents().unwrap().notes;
        notes.iter().any(|note| note.code == code)
    };
    assert!(!says(&described_field));
    assert!(says(&described("", "recheck-load = \"60 %\"")));
}
