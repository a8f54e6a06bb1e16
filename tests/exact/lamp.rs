//! Lamp laws: exponents 3.4, −13 and 0.55 in voltage (Fink & Beaty, Standard Handbook for Electrical
//! Engineers, 11th ed., p. 22-8, as quoted elsewhere), turned into laws in current.

use loopcrest::lamp::{LampLaw, LifeChange};
use loopcrest::waveform::TrueRms;

use crate::support::{assert_absolute, assert_relative};

const RATED: TrueRms = TrueRms::stated_a(6.6);

#[test]
fn exact_light_and_life_near_the_rated_current() {
    let law = LampLaw::default();
    // Derived from the exponents: (I/6.6)^(3.4/0.55) and (I/6.6)^(−13/0.55).
    for (current_a, light, life) in [
        (6.40, 0.827, 2.07),
        (6.47, 0.884, 1.60),
        (6.50, 0.910, 1.43),
        (6.70, 1.0974, 0.7009),
        (6.93, 1.3520, 0.3156),
    ] {
        let effect = law.effect(TrueRms::stated_a(current_a), RATED, RATED).unwrap();
        assert_relative(effect.light_ratio, light, 1e-3, "three to four digits are given");
        let LifeChange::Ratio(ratio) = effect.life else {
            panic!("{current_a} A is within the law's range: {:?}", effect.life)
        };
        assert_relative(ratio, life, 4e-3, "three digits are given");
    }
    let effect = law.effect(TrueRms::stated_a(6.70), RATED, RATED).unwrap();
    assert_absolute(effect.light_ratio, 1.0974, 1e-4, "four decimals are given");
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
