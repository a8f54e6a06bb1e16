//! A regulator fitted to captures of its own current: found within the stated uncertainty, and told
//! when it cannot be.

use std::path::Path;

use loopcrest::description::Description;
use loopcrest::identify::{Answer, FitOptions, Fitted, Observation, Parameter, fit, predict};
use loopcrest::regulator::{ResonantRegulator, ValuesOrigin};

use crate::support::assert_relative;
use crate::support::captures::{moved, observation};

const FREE: [Parameter; 6] = [
    Parameter::CapacitorReactance,
    Parameter::InputReactance,
    Parameter::OutputReactance,
    Parameter::ControlReactance,
    Parameter::ControlResistance,
    Parameter::IronKnee,
];
/// RMS and load of the captures: shorted and loaded, bright and dim.
const CAPTURES: [(f64, f64); 3] = [(6.6, 0.02), (4.1, 0.6), (6.6, 0.9)];
/// White noise of a sample over the RMS: a scope of 8 bits with the current on most of its screen.
const NOISE: f64 = 0.002;

fn truth() -> ResonantRegulator {
    moved(&[
        (Parameter::CapacitorReactance, 1.04),
        (Parameter::InputReactance, 0.97),
        (Parameter::OutputReactance, 1.06),
        (Parameter::ControlReactance, 0.9),
        (Parameter::ControlResistance, 1.2),
        (Parameter::IronKnee, 0.95),
    ])
}

fn captures(truth: &ResonantRegulator, seed: u64) -> Vec<Observation> {
    let one = |(at, (rms_a, load)): (usize, &(f64, f64))| {
        observation(truth, *rms_a, *load, NOISE, 100 * seed + at as u64)
    };
    CAPTURES.iter().enumerate().map(one).collect()
}

fn fitted(start: &ResonantRegulator, free: &[Parameter], seen: &[Observation]) -> Fitted {
    fit(start, free, seen, &FitOptions::default()).unwrap()
}

fn has_note(fitted: &Fitted, code: &str) -> bool {
    fitted.notes.iter().any(|note| note.code == code)
}

/// 24 sets of captures with noise of their own. That a 95 % interval misses more than 5 times in 24
/// has a chance of 0.1 % (binomial), 0.6 % for any of six values. The squares of (estimate - truth)
/// over uncertainty add up to a chi-square of 24: 7.5 to 52.6 is its range at 0.05 % on each side
/// (tables of the distribution, from memory); below, the uncertainties would be boasts of ignorance.
#[test]
fn law_values_are_found_within_their_uncertainty() {
    const SETS: u64 = 24;
    let truth = truth();
    let mut covered = [0_usize; FREE.len()];
    let mut squares = [0.0_f64; FREE.len()];
    let mut reduced = 0.0;
    for seed in 0..SETS {
        let found = fitted(&moved(&[]), &FREE, &captures(&truth, seed));
        reduced += found.reduced_chi_square.unwrap() / SETS as f64;
        for (at, own) in found.estimates.iter().enumerate() {
            let want = own.parameter.of(&truth);
            let (low, high) = own.interval.unwrap();
            covered[at] += usize::from((low..=high).contains(&want));
            squares[at] += ((own.value - want) / own.standard_uncertainty.unwrap()).powi(2);
        }
    }
    for (at, parameter) in FREE.iter().enumerate() {
        let key = parameter.key();
        assert!(covered[at] >= 19, "{key} is covered {} times of {SETS}", covered[at]);
        assert!((7.5..=52.6).contains(&squares[at]), "{key}: {}", squares[at]);
    }
    // 228 degrees of freedom and 24 sets: a standard deviation of 0.02, and the noise estimate's own
    // 0.007 in the mean; five of them.
    assert!((reduced - 1.0).abs() < 0.1, "the residuals are what the noise says: {reduced}");
}

/// The valley is the same from both sides; the ends differ by far less than noise moves them.
#[test]
fn law_a_start_far_off_ends_at_the_same_values() {
    let seen = captures(&truth(), 3);
    let near = fitted(&truth(), &FREE, &seen);
    let far = moved(&[
        (Parameter::CapacitorReactance, 0.9),
        (Parameter::InputReactance, 1.15),
        (Parameter::ControlReactance, 1.1),
        (Parameter::IronKnee, 1.1),
    ]);
    let far = fitted(&far, &FREE, &seen);
    assert_eq!(far.answer, Answer::Explained);
    for (a, b) in near.estimates.iter().zip(&far.estimates) {
        let apart = (a.value - b.value).abs() / a.standard_uncertainty.unwrap();
        // A predicted reduction of 1e-10 of the sum ends the search: 1.5e-4 standard uncertainties,
        // and a shallow valley asks for some more.
        assert!(apart < 0.02, "{}: {apart} standard uncertainties apart", a.parameter.key());
    }
}

#[test]
fn law_the_same_bytes_on_any_number_of_threads() {
    let seen = captures(&truth(), 5);
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| fitted(&moved(&[]), &FREE[..3], &seen))
    };
    let (one, three) = (on(1), on(3));
    assert_eq!(one.estimates, three.estimates);
    assert_eq!(one.correlation, three.correlation);
}

#[test]
fn law_what_one_capture_cannot_tell_is_said() {
    let free = [
        Parameter::Source,
        Parameter::CapacitorReactance,
        Parameter::InputReactance,
        Parameter::OutputReactance,
        Parameter::ControlReactance,
    ];
    let seen = captures(&truth(), 1);
    let one = fitted(&moved(&[]), &free, &seen[1..2]);
    assert_eq!(one.answer, Answer::NotTold);
    assert!(has_note(&one, "not-told"), "{:?}", one.notes);
    assert!(one.estimates.iter().any(|own| !own.is_told));
    assert!(one.told.untold().next().is_some());
    let all = fitted(&moved(&[]), &free, &seen);
    assert!(all.told.is_complete(), "three captures tell them: {:?}", all.told);
}

#[test]
fn law_another_machine_is_not_explained() {
    let found = fitted(&moved(&[]), &[Parameter::CapacitorReactance], &captures(&truth(), 4));
    assert_eq!(found.answer, Answer::NotExplained);
    assert!(found.reduced_chi_square.unwrap() > 10.0, "the other values are 3 to 20 % off");
    assert!(found.enlargement_ratio > 3.0);
    assert!(has_note(&found, "larger-than-noise"));
}

#[test]
fn law_a_capture_held_out_is_predicted() {
    let truth = truth();
    let found = fitted(&moved(&[]), &FREE, &captures(&truth, 6));
    let other = observation(&truth, 5.2, 0.4, NOISE, 77);
    let said = predict(&found, &other, &FitOptions::default()).unwrap();
    // An RMS over 78 degrees of freedom scatters by 8 %: four of them.
    let surprise = said.surprise_ratio.unwrap();
    assert!((0.68..=1.32).contains(&surprise), "{surprise}");
    // A shift of the average meter's error is linear in lines known to 3e-5.
    assert!(said.average_error_shift_ratio.unwrap().abs() < 2e-4, "{said:?}");
    let wrong = observation(&moved(&[(Parameter::OutputReactance, 1.3)]), 5.2, 0.4, NOISE, 78);
    let said = predict(&found, &wrong, &FitOptions::default()).unwrap();
    assert!(said.surprise_ratio.unwrap() > 5.0, "another machine: {:?}", said.surprise_ratio);
}

#[test]
fn law_one_period_says_nothing_about_its_noise() {
    let mut seen = captures(&truth(), 7);
    seen[0].lines.noise_a = None;
    let found = fitted(&moved(&[]), &FREE, &seen);
    assert_eq!(found.answer, Answer::NoiseUnknown);
    assert_eq!(found.reduced_chi_square, None);
    assert!(has_note(&found, "noise-unknown"));
    let known = fitted(&moved(&[]), &FREE, &captures(&truth(), 7));
    for (own, other) in found.estimates.iter().zip(&known.estimates) {
        let ratio = own.standard_uncertainty.unwrap() / other.standard_uncertainty.unwrap();
        // Equal weights instead of 6.6 to 4.1: some loss, and the scatter of the residuals, 5 %.
        assert!((0.7..=2.0).contains(&ratio), "{}: {ratio}", own.parameter.key());
    }
}

/// A supply with 3 % of fifth harmonic at 40 degrees, found and written into a description that is
/// read again.
#[test]
fn law_a_fitted_description_is_read_again() {
    let harmonic = Parameter::from_key("supply-harmonic-5").unwrap();
    let mut truth = truth();
    let (sin, cos) = 40_f64.to_radians().sin_cos();
    harmonic[0].set(&mut truth, 0.03 * cos);
    harmonic[1].set(&mut truth, 0.03 * sin);
    let free = [&FREE[..], &harmonic].concat();
    let description = Description::embedded();
    let start = &description.regulator.as_ref().unwrap().regulator;
    let found = fitted(start, &free, &captures(&truth, 8));
    for own in &found.estimates {
        let off = (own.value - own.parameter.of(&truth)) / own.standard_uncertainty.unwrap();
        assert!(off.abs() < 4.0, "{}: {off} standard uncertainties", own.parameter.key());
    }
    let text = description.fitted_text(&found).unwrap();
    assert!(text.contains("# fitted, standard uncertainty"), "{text}");
    for line in description.runnable_text.lines().filter(|line| line.starts_with('#')) {
        assert!(text.contains(line), "a remark was lost: {line}");
    }
    let own = text.replace("\ncapacitor-reactance =", "\n# of mine\ncapacitor-reactance =");
    let own = Description::parse(&own, Path::new("")).unwrap().fitted_text(&found).unwrap();
    assert!(own.contains("# of mine\ncapacitor-reactance ="), "a remark above a value was lost");
    let again = Description::parse(&text, Path::new("")).unwrap();
    let again = again.regulator.unwrap().regulator;
    assert_eq!(again.values.origin, ValuesOrigin::Fitted, "every result then says so");
    for own in &found.estimates {
        assert_relative(own.parameter.of(&again), own.value, 1e-6, "eight digits are written");
    }
    assert_eq!(again.supply.harmonics.len(), 1);
    let twice = Description::parse(&text, Path::new("")).unwrap().fitted_text(&found).unwrap();
    assert_eq!(twice, text, "writing the same values again changes nothing");
}

#[test]
fn law_what_cannot_be_fitted_is_an_error() {
    let seen = captures(&truth(), 9);
    let say = |start: &ResonantRegulator, free: &[Parameter], seen: &[Observation]| {
        fit(start, free, seen, &FitOptions::default()).unwrap_err().to_string()
    };
    let start = moved(&[]);
    assert!(say(&start, &FREE, &[]).contains("no capture"));
    assert!(say(&start, &[], &seen).contains("no value is free"));
    assert!(say(&start, &[FREE[0], FREE[0]], &seen).contains("free twice"));
    let none = moved(&[(Parameter::IronPower, 0.0)]);
    assert!(say(&none, &[Parameter::IronPower], &seen).contains("iron-power is 0"));
    let weak = moved(&[(Parameter::Source, 0.5)]);
    let said = say(&weak, &FREE, &seen[1..2]);
    assert!(said.contains("4.1 A at 0.6") && said.contains("its limit is"), "{said}");
}
