//! Lamp laws: exponents 3.4, −13 and 0.55 in voltage (Fink & Beaty, Standard Handbook for Electrical
//! Engineers, 11th ed., p. 22-8, as quoted elsewhere), turned into laws in current.

use loopcrest::lamp::{LampLaw, LifeChange};
use loopcrest::waveform::TrueRms;

use crate::support::{assert_absolute, assert_relative};

const RATED: TrueRms = TrueRms::stated_a(6.6);

#[test]
fn exact_light_and_life_near_the_rated_current() {
    let law = LampLaw::default();
    // Derived from the exponents: (I/6.6)^(3.4/0.55) and (I/6.6)^(−13/0.55), as printed in a table of
    // three to four digits; 6.70 and 6.93 A to four decimals.
    for (current_a, light, light_off, life, life_off) in [
        (6.40, 0.827, 5e-4, 2.07, 5e-3),
        (6.47, 0.884, 5e-4, 1.60, 5e-3),
        (6.50, 0.910, 5e-4, 1.43, 5e-3),
        (6.666, 1.063, 5e-4, 0.790, 5e-4),
        (6.70, 1.0974, 1e-4, 0.7009, 1e-4),
        (6.80, 1.203, 5e-4, 0.494, 5e-4),
        (6.93, 1.3520, 1e-4, 0.3156, 1e-4),
    ] {
        let effect = law.effect(TrueRms::stated_a(current_a), RATED, RATED).unwrap();
        let rounded = "half of the last digit given; 1e-4 where four decimals are";
        assert_absolute(effect.light_ratio.unwrap(), light, light_off, rounded);
        assert!(effect.light_credible, "{current_a} A is near");
        let LifeChange::Ratio(ratio) = effect.life else {
            panic!("{current_a} A is within the law's range: {:?}", effect.life)
        };
        assert_absolute(ratio, life, life_off, rounded);
    }
}

/// Beyond ±10 % in voltage (from memory) the law gives words, never a number.
#[test]
fn exact_words_beyond_the_credible_range() {
    let law = LampLaw::default();
    let life = |now_a, reference_a| {
        let now = TrueRms::stated_a(now_a);
        law.effect(now, TrueRms::stated_a(reference_a), RATED).unwrap().life
    };
    assert_eq!(life(7.26, 6.6), LifeChange::MuchShorter);
    assert_eq!(life(6.0, 6.6), LifeChange::MuchLonger);
    assert_eq!(life(2.9, 2.8), LifeChange::NotGoverning);
    assert_eq!(life(2.7, 2.8), LifeChange::NotGoverning);
    assert_eq!(life(7.26, 5.2), LifeChange::MuchShorter);
    let (low, high) = law.credible_current_ratio();
    // 0.9^0.55 and 1.1^0.55.
    assert_absolute(low, 0.943_699, 1e-6, "six decimals are given");
    assert_absolute(high, 1.053_819, 1e-6, "six decimals are given");
}

#[test]
fn exact_lamp_law_refuses_nonsense() {
    let law = LampLaw::default();
    assert!(law.effect(TrueRms::stated_a(-1.0), RATED, RATED).is_err());
    assert!(law.effect(TrueRms::stated_a(f64::NAN), RATED, RATED).is_err());
    assert!(law.effect(RATED, TrueRms::stated_a(0.0), RATED).is_err());
}

/// Light is a number up to twice the credible range in voltage (0.8^0.55 = 0.8845 and 1.2^0.55 = 1.1055 of
/// the current), marked as rough beyond the range itself, and absent farther away: never an error.
#[test]
fn exact_light_far_from_the_reference_is_no_number() {
    let law = LampLaw::default();
    let effect = |ratio: f64| law.effect(TrueRms::stated_a(6.6 * ratio), RATED, RATED).unwrap();
    for (ratio, given, credible) in [
        (0.0, false, false),
        (0.88, false, false),
        (0.89, true, false),
        (0.95, true, true),
        (1.05, true, true),
        (1.10, true, false),
        (1.11, false, false),
        (2.0, false, false),
        (1e6, false, false),
    ] {
        let effect = effect(ratio);
        assert_eq!((effect.light_ratio.is_some(), effect.light_credible), (given, credible));
    }
    // 7.26 A, +10 %: 1.10^(3.4/0.55).
    assert_absolute(effect(1.1).light_ratio.unwrap(), 1.80, 5e-3, "two decimals are given");
    assert_eq!(effect(1e6).life, LifeChange::MuchShorter);
    assert_eq!(effect(0.0).life, LifeChange::MuchLonger);
}

/// An exponent of the current near zero would make every change of light infinite.
#[test]
fn exact_current_exponent_stays_away_from_zero() {
    let mut law = LampLaw::default();
    for value in [0.0, 0.049, -0.55, f64::NAN] {
        law.current_exponent.value = value;
        let message = law.effect(RATED, RATED, RATED).unwrap_err().to_string();
        assert!(message.contains("lamp current exponent"), "{message}");
    }
    law.current_exponent.value = 0.05;
    assert_relative(
        law.effect(RATED, RATED, RATED).unwrap().light_ratio.unwrap(),
        1.0,
        1e-15,
        "1^x",
    );
}

/// Where a source gives a range, the law says that the number within is a choice.
#[test]
fn pinned_sources_of_the_exponents_say_what_is_chosen() {
    let law = LampLaw::default();
    let light = law.light_exponent.source.to_string();
    assert!(light.contains("our choice within the quoted range 3.4 to 3.5"), "{light}");
    let life = law.life_exponent.source.to_string();
    assert!(life.contains("our choice within the quoted range -12 to -16"), "{life}");
}
