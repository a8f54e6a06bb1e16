//! Worked examples of conformity: JCGM 106, ILAC-G8, and tables of the calibration trade.

use loopcrest::uncertainty::decision::{
    Acceptance, GlobalRisk, GuardBand, Knowledge, Limits, Outcome, RatioDefinition, SpecificRisk,
    TestRatio,
};
use loopcrest::uncertainty::{Distribution, Estimate, Expanded};

use super::sources;
use crate::support::{agrees_as_printed, assert_absolute};

fn normal(mean: f64, standard_uncertainty: f64) -> Knowledge {
    Knowledge::Distribution(Distribution::Normal { mean, standard_uncertainty })
}

/// 9.5.4: a gamma-distributed error of bearings, upper limit 2, u = 0.25.
#[test]
fn published_jcgm_106_bearings() {
    assert!(sources::JCGM_106.contains("9.5.4"));
    let process = Distribution::Gamma { shape: 4.0, rate: 4.0 };
    let tolerance = Limits::at_most(2.0).unwrap();
    let simple = GlobalRisk::new(&process, 0.25, &tolerance, &tolerance).unwrap();
    agrees_as_printed(1.0 - simple.in_tolerance, "0.042380");
    agrees_as_printed(simple.false_accept, "0.008019");
    assert_absolute(simple.false_accept, 0.008_019_1, 5e-8, "recomputed to seven decimals");
    assert_absolute(1.0 - simple.in_tolerance, 0.042_380_1, 5e-8, "recomputed to seven decimals");
    agrees_as_printed(simple.false_reject, "0.017445");
    let guarded = GlobalRisk::guard_band_for(&process, 0.25, &tolerance, 0.001).unwrap();
    let limits = guarded.limits().unwrap();
    agrees_as_printed(limits.upper().unwrap(), "1.671829");
    agrees_as_printed(guarded.guard_band(), "0.32817");
    let risk = GlobalRisk::new(&process, 0.25, &tolerance, &limits).unwrap();
    agrees_as_printed(risk.false_accept, "0.001");
    agrees_as_printed(risk.false_reject, "0.07549");
}

/// A Zener diode at -5.47 V, u = 0.05 V, at most -5.40 V: inputs from memory, Φ(1.4) closed form.
#[test]
fn published_jcgm_106_zener() {
    let limit = Limits::at_most(-5.40).unwrap();
    let risk = SpecificRisk::new(&normal(-5.47, 0.05), &limit);
    agrees_as_printed(risk.conformance_probability, "0.9192");
    agrees_as_printed(risk.false_accept(), "0.0808");
}

/// Speed limit 100 km/h, u of 2 %: a fine at 99.9 % begins at 107 km/h. Inputs from memory.
#[test]
fn published_jcgm_106_speed() {
    let limit = Limits::at_most(100.0).unwrap();
    let too_fast = |shown: f64| 1.0 - normal(shown, 0.02 * shown).conformance_probability(&limit);
    assert!(too_fast(106.0) < 0.999);
    assert!(too_fast(107.0) > 0.999);
    assert_absolute(too_fast(106.587), 0.999, 1e-6, "the threshold to three decimals");
    agrees_as_printed(100.0 / (1.0 - 0.02 * 3.0902), "106.59");
}

/// Sigma of the process four times that of the measurement ("4" is a ratio of sigmas, not of T to U).
#[test]
fn published_false_accepts_of_a_normal_process() {
    assert!(sources::RP_19.contains("draft"));
    let tolerance = Limits::between(-1.0, 1.0).unwrap();
    for (in_tolerance, false_accept, conditional) in [
        (0.6, "4.83860", "8.26008"),
        (0.7, "3.92234", "5.72322"),
        (0.8, "2.85583", "3.63227"),
        (0.9, "1.59995", "1.79880"),
        (0.95, "0.87101", "0.92390"),
        (0.99, "0.19992", "0.20244"),
    ] {
        let unit = Distribution::Normal { mean: 0.0, standard_uncertainty: 1.0 };
        let sigma = 1.0 / unit.quantile(0.5 * (1.0 + in_tolerance));
        let process = Distribution::Normal { mean: 0.0, standard_uncertainty: sigma };
        let ratio = TestRatio::to_process(sigma, 0.25 * sigma).unwrap();
        assert_eq!(ratio.definition, RatioDefinition::ProcessToMeasurement);
        assert_absolute(ratio.ratio, 4.0, 1e-12, "rounding");
        let risk = GlobalRisk::new(&process, 0.25 * sigma, &tolerance, &tolerance).unwrap();
        assert_absolute(risk.in_tolerance, in_tolerance, 1e-9, "quantile and its inverse");
        agrees_as_printed(100.0 * risk.false_accept, false_accept);
        agrees_as_printed(100.0 * risk.conditional_false_accept().unwrap(), conditional);
    }
}

/// The four rules that follow from T/U, at the ratios where their values are plain.
#[test]
fn published_guard_band_rules() {
    assert!(sources::DOBBERT.contains("Dobbert"));
    let definition = RatioDefinition::ToleranceToExpanded;
    let factor = |rule: GuardBand, ratio| rule.factor(TestRatio { ratio, definition }).unwrap();
    assert_absolute(factor(GuardBand::RootOfSquares, 2.0), 0.75_f64.sqrt(), 1e-15, "closed form");
    assert_absolute(factor(GuardBand::InverseRatio, 4.0), 0.75, 1e-15, "closed form");
    assert_absolute(factor(GuardBand::QuarterRelief, 2.0), 0.75, 1e-15, "closed form");
    assert_absolute(factor(GuardBand::QuarterRelief, 10.0), 1.0, 1e-15, "never beyond the limit");
    agrees_as_printed(GuardBand::flat_risk_multiple(2.5), "0.21454");
    let flat = 1.0 - GuardBand::flat_risk_multiple(2.5) / 2.5;
    assert_absolute(factor(GuardBand::FlatRisk, 2.5), flat, 1e-15, "its definition");
}

/// With w = U the probability of a false accept is at most 2.5 %, without guard band at most 50 %.
#[test]
fn published_ilac_g8_specific_risks_at_the_acceptance_limit() {
    assert!(sources::ILAC_G8.contains("4.2.2"));
    let tolerance = Limits::between(-10.0, 10.0).unwrap();
    let estimate = Estimate::new(0.0, 1.0, f64::INFINITY).unwrap();
    let expanded = estimate.expanded(0.95).unwrap();
    for (rule, most) in [(GuardBand::Expanded(1.0), 0.025), (GuardBand::None, 0.5)] {
        let accepted = Acceptance::new(tolerance, rule, &expanded).unwrap();
        let edge = accepted.limits().unwrap().upper().unwrap();
        assert_eq!(accepted.outcome(edge), Outcome::Pass);
        let risk = SpecificRisk::new(&normal(edge, 1.0), &tolerance);
        assert_absolute(risk.false_accept(), most, 1e-6, "the other limit is 18 u away");
    }
}

/// A reading of 6.62 A with U = 0.10 A, and one of 6.60 A with a 2 % meter: neither can pass.
#[test]
fn published_no_pass_even_dead_centre() {
    let decide = |measured: f64, half_width: f64, low, high| {
        let expanded = Expanded::stated(half_width, 2.0, 0.9545).unwrap();
        let band = Limits::between(low, high).unwrap();
        let rule = Acceptance::new(band, GuardBand::Expanded(1.0), &expanded).unwrap();
        let p = normal(measured, expanded.standard_uncertainty()).conformance_probability(&band);
        (p, rule.limits(), rule.outcome(measured))
    };
    let (p, _, outcome) = decide(6.62, 0.10, 6.5, 6.7);
    agrees_as_printed(p, "0.9370");
    assert_eq!(outcome, Outcome::ConditionalPass);
    let (p, limits, outcome) = decide(6.60, 0.132, 6.5, 6.7);
    agrees_as_printed(p, "0.87027");
    assert_eq!((limits, outcome), (None, Outcome::ConditionalPass));
    let (p, limits, outcome) = decide(6.60, 0.132, 6.4, 6.7);
    agrees_as_printed(p, "0.93391");
    assert_eq!(outcome, Outcome::ConditionalPass);
    // 0.132 A is less than half of 0.3 A: an acceptance interval is left, but 6.60 A is not in it.
    assert!(limits.is_some_and(|limits| !limits.contain(6.60)));
    assert!(decide(6.60, 0.099, 6.5, 6.7).1.is_some(), "1.5 % leaves a point");
}
