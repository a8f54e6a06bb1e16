//! Solutions without half-wave symmetry beside the symmetric ones, from
//! `tests/reference/shooting/coexisting.json` (full-period shooting in Python, DOP853 at 1e-13).

use loopcrest::circuit::{PeriodicSolution, Stability};
use loopcrest::regulator::{OperatingPoint, ResistiveLoad, ResonantRegulator, SolveOptions};
use serde_json::Value;

fn crest_and_rms(point: &OperatingPoint, solution: &PeriodicSolution) -> (f64, f64) {
    let output = solution.waveform(&point.circuit, point.output_branch, 7200).unwrap();
    let measures = output.measures().dc;
    (measures.crest_factor().unwrap(), measures.rms_a)
}

#[test]
fn cross_the_search_finds_the_reference_asymmetric_states() {
    let text = include_str!("../reference/shooting/coexisting.json");
    let reference: Value = serde_json::from_str(text).unwrap();
    let mut compared = 0;
    for row in reference["points"].as_array().unwrap() {
        let theirs = row["asymmetric"].as_array().unwrap();
        if theirs.is_empty() {
            continue;
        }
        let load = ResistiveLoad::new(row["load_ohm"].as_f64().unwrap()).unwrap();
        let regulator = ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap();
        let delay_rad = row["delay_rad"].as_f64().unwrap();
        let point = regulator.at_delay(&load, delay_rad, &SolveOptions::default()).unwrap();
        let ours = point.others(48, 60).unwrap();
        for state in theirs {
            let (rms_a, crest) =
                (state["output_rms_a"].as_f64().unwrap(), state["crest_factor"].as_f64().unwrap());
            let hit = ours.iter().find(|solution| {
                // Nine and six digits are given.
                let (our_crest, our_rms_a) = crest_and_rms(&point, solution);
                (our_rms_a - rms_a).abs() < 1e-6 && (our_crest - crest).abs() < 1e-5
            });
            let hit = hit.unwrap_or_else(|| panic!("{rms_a} A was not found"));
            let largest = state["period_multipliers"][0][0].as_f64().unwrap();
            assert!((hit.multipliers[0].norm() - largest.abs()).abs() < 1e-5, "{largest}");
            let stable = state["stable"].as_bool().unwrap();
            assert_eq!(hit.stability() == Stability::Stable, stable);
            compared += 1;
        }
    }
    assert!(compared >= 4, "two loads with two asymmetric states each: {compared}");
}
