//! What no capture can tell, in closed form.

use loopcrest::identify::{Answer, FitOptions, Parameter, fit};

use crate::support::captures::{moved, observation};

/// Closed form: a(λ/λk) + b(λ/λk)⁹ stays the same when a, b and λk are multiplied by c, c⁹ and c, so
/// on the logarithmic scale the direction (1, 9, 1)/√83 cannot be seen in any capture.
#[test]
fn exact_the_iron_law_has_a_direction_nobody_can_see() {
    let free = [Parameter::IronLinear, Parameter::IronPower, Parameter::IronKnee];
    let truth = moved(&[(Parameter::IronKnee, 0.95)]);
    let seen = [(6.6, 0.02, 1), (4.1, 0.6, 2), (6.6, 0.9, 3)]
        .map(|(rms_a, load, seed)| observation(&truth, rms_a, load, 0.002, seed));
    let found = fit(&truth, &free, &seen, &FitOptions::default()).unwrap();
    let worst = found.told.combinations.last().unwrap();
    for ((_, share), want) in worst.shares.iter().zip([1.0, 9.0, 1.0]) {
        // Derivatives by differences are good to some 1e-6, and the next direction is a thousand
        // times weaker than the strongest.
        assert!((share - want / 83.0_f64.sqrt()).abs() < 1e-2, "{}", worst.words());
    }
    assert!(worst.standard_uncertainty_ratio.is_none_or(|u| u > 1e2), "{worst:?}");
    assert_eq!(found.answer, Answer::NotTold);
}
