//! Set-bands and verdicts of readings worked by hand.

use loopcrest::procedure::Bench;
use loopcrest::procedure::entry::Output;

use crate::support::{assert_absolute, visits};

/// Closed form. On a sine a true-RMS meter of 0.5 % of reading and 0.01 A digits has two errors, both
/// rectangular: half-widths 0.005 D and 0.005 A. Their sum is a trapezoid of half-base
/// a = 0.005 D + 0.005 and half-top b = 0.005 D − 0.005, and P(beyond t) = (a − t)²/(2 (a − b)(a + b)).
/// With a − b = 0.01 and a + b = 0.01 D, 5 % lies beyond t = a − √(1e-5 D). The set-band is all D with
/// low ≤ D − t and D + t ≤ high, inwards to 0.01 A. UFC 3-535-01 bands:
///
/// | step | band | low: D − t = edge | high: D + t = edge |
/// |---|---|---|---|
/// | 5 | 6.40 to 6.70 | 6.42913 → 6.43 | 6.66982 → 6.66 |
/// | 4 | 5.04 to 5.36 | 5.06321 → 5.07 | 5.33563 → 5.33 |
/// | 3 | 3.98 to 4.22 | 3.99867 → 4.00 | 4.20048 → 4.20 |
/// | 2 | 3.30 to 3.50 | 3.31582 → 3.32 | 3.48349 → 3.48 |
/// | 1 | 2.72 to 2.88 | 2.73344 → 2.74 | 2.86602 → 2.86 |
#[test]
fn exact_set_bands_of_two_rectangular_errors() {
    let bench = Bench::of(&visits::sine_opening()).unwrap();
    let by_hand =
        [(5, 6.43, 6.66), (4, 5.07, 5.33), (3, 4.00, 4.20), (2, 3.32, 3.48), (1, 2.74, 2.86)];
    for (step, low_a, high_a) in by_hand {
        let nominal_a = bench.steps().step(step).unwrap().nominal.a();
        let judged = bench.judge(step, Output::Shorted, nominal_a).unwrap();
        assert_eq!(
            (judged.set_low_a, judged.set_high_a),
            (Some(low_a), Some(high_a)),
            "step {step}"
        );
        assert!(judged.accepts(low_a) && judged.accepts(high_a));
        assert!(!judged.accepts(low_a - 0.01) && !judged.accepts(high_a + 0.01));
        // A sine is shown as it is; u² = (0.005 D)²/3 + 0.005²/3.
        assert_absolute(judged.true_rms_a.unwrap(), nominal_a, 1e-9, "gain 1 on a sine");
        let u_a = ((0.005 * nominal_a).powi(2) + 0.005_f64.powi(2)).sqrt() / 3.0_f64.sqrt();
        assert_absolute(judged.standard_uncertainty_a.unwrap(), u_a, 1e-9, "closed form");
    }
}

/// Closed form, as above: 6.42 A shown at step 5 has t = 0.02 left to the edge of 6.40, less than
/// b = 0.0271: still under the flat top, of height 1/(a + b) = 1/0.0642. So it is inside with
/// 0.5 + 0.02/0.0642 = 81.15 %. Light: (6.42/6.6)^(3.4/0.55), life ^(−13/0.55), exponents as quoted in
/// the lamp law.
#[test]
fn exact_what_a_reading_near_the_edge_means() {
    let bench = Bench::of(&visits::sine_opening()).unwrap();
    let judged = bench.judge(5, Output::Shorted, 6.42).unwrap();
    let p = 0.5 + 0.02 / 0.0642;
    assert_absolute(judged.conformance_probability.unwrap(), p, 1e-9, "closed form");
    assert_eq!(judged.simple.as_deref(), Some("pass"));
    assert_eq!(judged.guarded.as_deref(), Some("conditional-pass"));
    assert!(!judged.accepts(6.42));
    let ratio: f64 = 6.42 / 6.6;
    let law = "the power law, in another order of operations";
    assert_absolute(judged.light_ratio.unwrap(), ratio.powf(3.4 / 0.55), 1e-9, law);
    assert_absolute(judged.life_ratio.unwrap(), ratio.powf(-13.0 / 0.55), 1e-9, law);
}
