//! A year of burning at currents found, against the same year at the nominals.

use loopcrest::assess::{BurningHours, Consequences, FoundCurrent};
use loopcrest::lamp::LampLaw;
use loopcrest::regulator::{BandSet, CircuitClass, StepTable};
use loopcrest::waveform::TrueRms;

use crate::support::{assert_absolute, assert_relative};

const RATED: TrueRms = TrueRms::stated_a(6.6);

fn found(number: u32, true_a: f64, expanded_a: f64) -> FoundCurrent {
    let table = StepTable::published(CircuitClass::FiveStep6A6, BandSet::Ufc2005).unwrap();
    let step = table.step(number).unwrap().clone();
    FoundCurrent { step, true_rms: TrueRms::stated_a(true_a), expanded_a }
}

/// 6.70 A on the top step for 400 h a year, lamps of 1,000 h: life 0.7009 (derived from the exponents
/// of Fink & Beaty, p. 22-8), so 40 lamps of a hundred become 40/0.7009.
#[test]
fn exact_a_year_at_the_upper_limit() {
    let hours = BurningHours::new(vec![(5, 400.0), (1, 2000.0)]).unwrap();
    let steps = vec![found(5, 6.70, 0.05), found(1, 2.80, 0.05)];
    let year = Consequences::of(steps, &LampLaw::default(), RATED, &hours, Some(1000.0)).unwrap();
    let top = &year.steps[0];
    assert_absolute(top.effect.light_ratio.unwrap(), 1.0974, 1e-4, "four decimals are given");
    assert_absolute(top.life_ratio().unwrap(), 0.7009, 1e-4, "four decimals are given");
    let (shorter, longer) = top.life_range.unwrap();
    // Closed form, (I/6.6)^(−13/0.55) at 6.75 and 6.65 A.
    assert_relative(shorter, (6.75_f64 / 6.6).powf(-13.0 / 0.55), 1e-12, "closed form");
    assert_relative(longer, (6.65_f64 / 6.6).powf(-13.0 / 0.55), 1e-12, "closed form");
    assert_relative(year.wear_ratio.unwrap(), 1.0 / 0.7009, 2e-4, "four decimals are given");
    let (nominal, now) = year.lamps_per_hundred.unwrap();
    assert_absolute(nominal, 40.0, 1e-9, "400 h of 1,000 h");
    assert_relative(now, 40.0 / 0.7009, 2e-4, "four decimals are given");
    assert_eq!(year.silent_steps, [1], "at 2.8 A filaments last long anyway");
}

#[test]
fn exact_a_year_nobody_can_tell() {
    let hours = BurningHours::new(vec![(1, 2000.0)]).unwrap();
    let year = Consequences::of(
        vec![found(1, 2.9, 0.0)],
        &LampLaw::default(),
        RATED,
        &hours,
        Some(1000.0),
    )
    .unwrap();
    assert_eq!(year.wear_ratio, None);
    assert_eq!(year.lamps_per_hundred, None);
    assert_eq!(year.steps[0].life_range, None);
}

#[test]
fn exact_burning_hours_refuse_nonsense() {
    assert!(BurningHours::new(vec![(5, -1.0)]).is_err());
    assert!(BurningHours::new(vec![(5, 100.0), (5, 100.0)]).is_err());
    assert!(BurningHours::new(vec![(5, 8000.0), (1, 2000.0)]).is_err());
    let empty = BurningHours::new(Vec::new()).unwrap();
    assert_absolute(empty.of(5), 0.0, 0.0, "nothing was said");
    let found = vec![found(5, 6.6, 0.0)];
    let law = LampLaw::default();
    assert!(Consequences::of(found, &law, RATED, &empty, Some(0.0)).is_err());
}
