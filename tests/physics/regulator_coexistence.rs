//! Several periodic states at one setting, and branches of states as a parameter moves.

use loopcrest::circuit::{
    FollowOptions, PeriodicSolution, ShootingOptions, Stability, Symmetry, follow,
};
use loopcrest::regulator::{OperatingPoint, ResistiveLoad, ResonantRegulator, SolveOptions};

fn regulator() -> ResonantRegulator {
    ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap()
}

fn hold(load_ratio: f64, target_a: f64) -> OperatingPoint {
    let load = ResistiveLoad::new(load_ratio * 230.0).unwrap();
    regulator().hold(&load, target_a, None, &SolveOptions::default()).unwrap().held().unwrap()
}

fn even_part(samples: &[f64]) -> f64 {
    let half = samples.len() / 2;
    let top = samples.iter().fold(0.0_f64, |m, i| m.max(i.abs()));
    (0..half).fold(0.0_f64, |m, k| m.max((samples[k] + samples[k + half]).abs())) / top
}

/// A trap: at half load, at the firing delay of the lowest step, a stable asymmetric state with
/// strong even harmonics coexists with the symmetric one.
///
/// It has a crest factor of 1.574 against 1.486, and ends in a fold near 118 degrees before its RMS
/// reaches 2.8 A, so no control can hold the step on it.
#[test]
fn physics_a_stable_asymmetric_state_coexists_on_the_lowest_step_at_half_load() {
    let point = hold(0.5, 2.8);
    let others = point.others(48, 60).unwrap();
    let stable: Vec<_> =
        others.iter().filter(|other| other.stability() == Stability::Stable).collect();
    assert_eq!(stable.len(), 2, "a state and its mirror image: {}", others.len());
    assert!(others.len() > 2, "unstable states lie between the stable ones");
    for other in &stable {
        let output = other.waveform(&point.circuit, point.output_branch, 7200).unwrap();
        assert!(even_part(output.samples_a()) > 0.05, "even harmonics");
        // A direct current would have to flow against the load's resistance: there is none.
        assert!(output.mean_a().abs() < 1e-6);
    }
    let crest = |solution: &PeriodicSolution| {
        let output = solution.waveform(&point.circuit, point.output_branch, 7200).unwrap();
        output.measures().dc.crest_factor().unwrap()
    };
    let (symmetric, asymmetric) = (crest(&point.solution), crest(stable[0]));
    assert!(asymmetric > symmetric + 0.05, "{asymmetric} against {symmetric}");
    let load = ResistiveLoad::new(0.5 * 230.0).unwrap();
    let make = |delay_rad: f64| Ok(regulator().network(&load, delay_rad)?.network);
    let options = FollowOptions {
        from: point.delay_rad(),
        to: 140_f64.to_radians(),
        step: 0.05,
        points: 200,
        shooting: ShootingOptions { symmetry: Symmetry::FullPeriod, ..Default::default() },
    };
    let branch = follow(&make, &stable[0].section, &options).unwrap();
    assert_eq!(branch.folds.len(), 1, "it turns back and becomes unstable");
    let fold = &branch.points[branch.folds[0]];
    // pinned: our own value; a step along the branch is about half a degree near the fold.
    assert!((fold.parameter.to_degrees() - 118.0).abs() < 0.5, "{}", fold.parameter.to_degrees());
    assert_eq!(branch.points.last().unwrap().solution.stability(), Stability::Unstable);
}

#[test]
fn physics_a_stable_subharmonic_coexists_on_the_top_step_at_full_load() {
    let point = hold(1.0, 6.6);
    let others = point.others(48, 60).unwrap();
    let stable: Vec<_> =
        others.iter().filter(|other| other.stability() == Stability::Stable).collect();
    assert!(!stable.is_empty());
    for other in stable {
        let periods = (other.period_s * 60.0).round();
        assert!((periods - 3.0).abs() < 1e-9, "three periods of the mains: {periods}");
    }
    assert!(hold(1.0, 2.8).others(24, 60).unwrap().is_empty(), "and none on the lowest step");
}

/// At a held firing delay the symmetric state changes smoothly with the load: no fold, so no jump.
#[test]
fn physics_the_symmetric_state_has_no_fold_over_the_load() {
    let point = hold(0.02, 4.1);
    let delay_rad = point.delay_rad();
    let make = |ratio: f64| {
        let load = ResistiveLoad::new(ratio * 230.0)?;
        Ok(regulator().network(&load, delay_rad)?.network)
    };
    let options = FollowOptions {
        from: 0.02,
        to: 0.5,
        step: 0.1,
        points: 200,
        shooting: ShootingOptions::default(),
    };
    let branch = follow(&make, &point.solution.section, &options).unwrap();
    assert!(branch.ended_early.is_none(), "{:?}", branch.ended_early);
    assert!(branch.folds.is_empty() && branch.coexistence().is_empty());
    assert!(branch.points.last().unwrap().parameter >= 0.5);
    assert!(branch.points.iter().all(|p| p.solution.stability() == Stability::Stable));
}
