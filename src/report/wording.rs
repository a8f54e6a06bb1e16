//! Numbers and findings in words, the same on every face.

use crate::assess::Survey;
use crate::lamp::LifeChange;
use crate::regulator::Placement;

/// Amperes with three decimals, for a column whose head names the unit.
#[must_use]
pub fn bare_amperes(value_a: f64) -> String {
    unsigned_zero(format!("{value_a:.3}"))
}

/// Amperes with three decimals.
#[must_use]
pub fn amperes(value_a: f64) -> String {
    format!("{} A", bare_amperes(value_a))
}

/// A signed deviation in amperes with three decimals, for a column whose head names the unit.
#[must_use]
pub fn signed_amperes(value_a: f64) -> String {
    unsigned_zero(format!("{value_a:+.3}"))
}

/// A signed deviation in percent with two decimals, for a column whose head names the unit.
#[must_use]
pub fn bare_percent(ratio: f64) -> String {
    unsigned_zero(format!("{:+.2}", 100.0 * ratio))
}

/// A number with at most six decimals and no zeros behind them: 2000, 59.94.
#[must_use]
pub fn plain_number(value: f64) -> String {
    let digits = format!("{value:.6}");
    digits.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The step at which trimming by a meter (by its place in the survey) leaves the least room to the
/// band's edge, and that room; `None` unless every step ends inside its band.
#[must_use]
pub fn least_room(survey: &Survey, meter: usize) -> Option<(u32, f64)> {
    let mut least: Option<(u32, f64)> = None;
    for result in survey.results() {
        let true_a = result.judgements.get(meter)?.trimmed.as_ref()?.true_rms.a();
        let band = &result.step.band;
        let left_a = (band.high_a() - true_a).min(true_a - band.low_a());
        if left_a < 0.0 {
            return None;
        }
        if least.is_none_or(|(_, known_a)| left_a < known_a) {
            least = Some((result.step.number, left_a));
        }
    }
    least
}

/// A signed deviation in percent with two decimals: +1.23 %.
#[must_use]
pub fn percent(ratio: f64) -> String {
    format!("{} %", bare_percent(ratio))
}

/// What rounds to nothing has no sign.
fn unsigned_zero(rounded: String) -> String {
    let digits = rounded.trim_start_matches(['-', '+']);
    if digits.chars().all(|c| matches!(c, '0' | '.')) { digits.to_owned() } else { rounded }
}

/// A share in whole percent: 64 %.
#[must_use]
pub fn ratio_as_percent(ratio: f64) -> String {
    format!("{:.0} %", 100.0 * ratio)
}

/// A share in percent with as many decimals as it has, four at most: 103 %, 97.5 %.
#[must_use]
pub fn ratio_as_exact_percent(ratio: f64) -> String {
    format!("{} %", plain_number((1e6 * ratio).round() / 1e4))
}

/// A share in whole percent, for a column whose head names the unit.
#[must_use]
pub fn bare_share(ratio: f64) -> String {
    unsigned_zero(format!("{:.0}", 100.0 * ratio))
}

/// An angle in degrees with one decimal.
#[must_use]
pub fn degrees(angle_rad: f64) -> String {
    format!("{:.1}°", angle_rad.to_degrees())
}

/// Light against the nominal: a number with "~" in front near the range in which the law is credible,
/// words beyond.
#[must_use]
pub fn light(light_ratio: Option<f64>, credible: bool) -> String {
    match (light_ratio, credible) {
        (Some(ratio), true) => ratio_as_percent(ratio),
        (Some(ratio), false) => format!("~{}", ratio_as_percent(ratio)),
        (None, _) => "beyond the law".into(),
    }
}

/// Lamp life against the nominal.
#[must_use]
pub fn life(change: LifeChange) -> String {
    match change {
        LifeChange::Ratio(ratio) => format!("x {ratio:.2}"),
        LifeChange::MuchLonger => "longer".into(),
        LifeChange::MuchShorter => "shorter".into(),
        LifeChange::NotGoverning => "-".into(),
    }
}

/// A small current in milliamperes, without its unit.
#[must_use]
pub fn bare_milliamperes(value_a: f64) -> String {
    format!("{:.1}", 1000.0 * value_a)
}

/// Where a current lies against a band.
#[must_use]
pub fn placement(placement: Placement) -> &'static str {
    match placement {
        Placement::Low => "LOW",
        Placement::Inside => "in band",
        Placement::High => "HIGH",
    }
}

/// A ratio that is never negative, in percent with two decimals: 6.61 %.
#[must_use]
pub fn plain_percent(ratio: f64) -> String {
    format!("{:.2} %", 100.0 * ratio)
}

/// A probability in percent with two decimals; what is next to certain is not printed as certain.
///
/// # Example
/// ```
/// use loopcrest::report::probability;
/// assert_eq!(probability(0.98044), "98.04 %");
/// assert_eq!(probability(0.999_999), "> 99.99 %");
/// ```
#[must_use]
pub fn probability(value: f64) -> String {
    const NEXT_TO: f64 = 0.9999;
    if value > NEXT_TO {
        "> 99.99 %".to_owned()
    } else if value < 1.0 - NEXT_TO {
        "< 0.01 %".to_owned()
    } else {
        plain_percent(value)
    }
}

/// Volts with one decimal.
#[must_use]
pub fn volts(value_v: f64) -> String {
    format!("{value_v:.1} V")
}

/// Watts or volt-amperes, in thousands from 1000 upwards.
#[must_use]
pub fn watts(value: f64, unit: &str) -> String {
    if value.abs() >= 1000.0 {
        format!("{:.3} k{unit}", value / 1000.0)
    } else {
        format!("{value:.1} {unit}")
    }
}

/// A signed difference in watts or volt-amperes, in thousands from 1000 upwards.
#[must_use]
pub fn signed_watts(value: f64, unit: &str) -> String {
    if value.abs() >= 1000.0 {
        unsigned_zero(format!("{:+.3}", value / 1000.0)) + &format!(" k{unit}")
    } else {
        unsigned_zero(format!("{value:+.1}")) + &format!(" {unit}")
    }
}
