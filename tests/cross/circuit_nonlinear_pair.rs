//! Two small nonlinear circuits against `tests/reference/duffing`: every symmetric solution a grid
//! of starts leads to, by an explicit eighth-order method at 1e-13, each closed again by 8,000
//! fixed Runge-Kutta steps; folds by "closes, and the determinant vanishes" solved directly.

use std::f64::consts::{FRAC_PI_2, TAU};

use loopcrest::circuit::{
    Circuit, Element, FollowOptions, Magnet, Network, PeriodicSolution, Section, ShootingOptions,
    SolutionBranch, Source, Stability, find_periodic, follow,
};
use loopcrest::error::Result;
use serde_json::Value;

use super::circuit_reference::{json, number, tight};
use crate::support::{assert_absolute, assert_relative};

/// One of the two circuits: unit angular frequency, driven by B cos t or V cos t.
#[derive(Clone, Copy, PartialEq)]
enum Pair {
    /// x'' + 0.2 x' + x³ = B cos t; x is the flux of a cubic inductor.
    Duffing,
    /// V cos t = 0.2 i + v_c + dφ/dt, dv_c/dt = i/0.5, i = 0.3 φ + 0.1 φ⁹.
    Ferroresonance,
}

impl Pair {
    fn network(self, drive: f64) -> Result<Network> {
        let mut network = Network::new(1.0 / TAU);
        let ground = network.ground();
        let drive = Source::sine(drive, FRAC_PI_2);
        let capacitor = |capacitance_f: f64| Element::Capacitor { capacitance_f };
        let resistor = |resistance_ohm: f64| Element::Resistor { resistance_ohm };
        let core = |linear_a: f64, power_a: f64, exponent: u32| Element::SaturatingInductor {
            magnet: Magnet::OddPower { linear_a, power_a, knee_wb: 1.0, exponent },
            core_loss_ohm: None,
        };
        match self {
            Self::Duffing => {
                let x = network.node("x");
                network.branch("drive", ground, x, Element::CurrentSource(drive));
                network.branch("core", x, ground, core(0.0, 1.0, 3));
                network.branch("mass", x, ground, capacitor(1.0));
                network.branch("damping", x, ground, resistor(5.0));
            }
            Self::Ferroresonance => {
                let [a, b, c] = ["a", "b", "c"].map(|name| network.node(name));
                network.branch("drive", a, ground, Element::VoltageSource(drive));
                network.branch("damping", a, b, resistor(0.2));
                network.branch("mass", b, c, capacitor(0.5));
                network.branch("core", c, ground, core(0.3, 0.1, 9));
            }
        }
        Ok(network)
    }

    /// Places of the reference's two states among ours.
    fn order(self) -> [usize; 2] {
        if self == Self::Duffing { [0, 1] } else { [1, 0] }
    }

    /// From a weak drive upward, past both folds.
    fn branch(self) -> SolutionBranch {
        let options =
            FollowOptions { from: 0.02, to: 0.6, step: 0.02, points: 2000, shooting: tight() };
        let branch =
            follow(&|drive| self.network(drive), &Section::at_rest(0.0, 2), &options).unwrap();
        assert!(branch.ended_early.is_none(), "{:?}", branch.ended_early);
        branch
    }

    /// Again in small steps from a point some way before a fold to a like distance behind it.
    fn near_fold(self, branch: &SolutionBranch, at: usize) -> SolutionBranch {
        let before = &branch.points[at - 2];
        let to =
            before.parameter + 0.58 * (branch.points[at].parameter - before.parameter).signum();
        let options = FollowOptions {
            from: before.parameter,
            to,
            step: 0.0015,
            points: 120,
            shooting: tight(),
        };
        let start = &before.solution.section;
        let near = follow(&|drive| self.network(drive), start, &options).unwrap();
        assert_eq!(near.folds.len(), 1, "the one it was sent to");
        near
    }
}

fn rms(values: &[f64]) -> f64 {
    (values.iter().map(|x| x * x).sum::<f64>() / values.len() as f64).sqrt()
}

fn check(pair: Pair, drive: f64, solution: &PeriodicSolution, want: &Value) {
    const SAMPLES: usize = 20_000;
    let reason = "the reference is converged to 1e-12 and gives twelve digits";
    let circuit = Circuit::new(&pair.network(drive).unwrap()).unwrap();
    for (at, place) in pair.order().into_iter().enumerate() {
        let start = want["initial_state"][at].as_f64().unwrap();
        assert_absolute(solution.section.state[place], start, 5e-11, reason);
    }
    let trajectory = solution.trajectory(&circuit).unwrap();
    let times_s = solution.grid_s(SAMPLES);
    let states = trajectory.states(&circuit, &times_s);
    let core = circuit.network().find("core").unwrap();
    let output = match pair {
        Pair::Duffing => states[0].clone(),
        Pair::Ferroresonance => trajectory.current_a(&circuit, core, &times_s),
    };
    assert_relative(rms(&output), number(want, "output_rms"), 5e-11, reason);
    assert_relative(rms(&states[pair.order()[1]]), number(want, "second_state_rms"), 5e-11, reason);
    let arv = output.iter().map(|x| x.abs()).sum::<f64>() / SAMPLES as f64;
    let grid = "(pi/N)²/3 on N = 20,000 samples is 8e-9; more for a peaked current";
    assert_relative(arv, number(want, "output_arv"), 1e-7, grid);
    let peak = output.iter().fold(0.0_f64, |m, x| m.max(x.abs()));
    assert_relative(peak, number(want, "output_peak"), 5e-7, grid);
    let line = |order: f64| {
        let sums = times_s.iter().zip(&output).fold((0.0, 0.0), |(re, im), (t, x)| {
            (re + x * (order * t).cos(), im + x * (order * t).sin())
        });
        2.0 * sums.0.hypot(sums.1) / SAMPLES as f64
    };
    for (order, amplitude) in want["harmonics_peak"].as_object().unwrap() {
        let got = line(order.parse().unwrap());
        assert_absolute(got, amplitude.as_f64().unwrap(), 5e-11, reason);
    }
    let others = (2..60).map(|h| line(f64::from(h)).powi(2)).sum::<f64>().sqrt();
    assert_absolute(others / line(1.0), number(want, "thd_h2_to_h59_ratio"), 5e-11, reason);
    for pair in want["period_multipliers"].as_array().unwrap() {
        let [re, im] = [0, 1].map(|at| pair[at].as_f64().unwrap());
        let near = solution.multipliers.iter().map(|m| (m.re - re).hypot(m.im - im));
        let gap = near.fold(f64::INFINITY, f64::min);
        assert!(
            gap < 1e-9,
            "multiplier {re} {im} missed by {gap:e}; twelve digits, differences none"
        );
    }
    let stable = solution.stability() == Stability::Stable;
    assert_eq!(Some(stable), want["stable"].as_bool());
}

/// Every case of the file: as many solutions as it has, each in every number given.
fn check_cases(pair: Pair, name: &str, drive_key: &str) {
    let reference = json("duffing/nonlinear_pair.json");
    let branch = pair.branch();
    let shooting: ShootingOptions = tight();
    for case in reference[name]["cases"].as_array().unwrap() {
        let drive = number(case, drive_key);
        let wanted = case["solutions"].as_array().unwrap();
        let found = if drive < 0.6 {
            branch.solutions_at(&|drive| pair.network(drive), drive, &shooting).unwrap()
        } else {
            let circuit = Circuit::new(&pair.network(drive).unwrap()).unwrap();
            let start = &branch.points.last().unwrap().solution.section;
            vec![find_periodic(&circuit, start, None, None, &shooting).unwrap()]
        };
        assert_eq!(found.len(), wanted.len(), "{name} at {drive}");
        let place = pair.order()[0];
        for want in wanted {
            let start = want["initial_state"][0].as_f64().unwrap();
            let near = |s: &&PeriodicSolution| (s.section.state[place] - start).abs();
            let nearest = found.iter().min_by(|a, b| near(a).total_cmp(&near(b))).unwrap();
            check(pair, drive, nearest, want);
        }
    }
}

/// The parameter along a branch is a smooth function of the multiplier that passes 1 at a fold: its
/// value there, by the polynomial through the points on both sides.
fn fold(branch: &SolutionBranch, at: usize) -> f64 {
    let points = &branch.points[at - 4..=at + 4];
    let known: Vec<(f64, f64)> = points
        .iter()
        .map(|point| {
            let multipliers = point.solution.multipliers.iter();
            let near = multipliers.min_by(|a, b| (*a - 1.0).norm().total_cmp(&(*b - 1.0).norm()));
            (near.unwrap().re, point.parameter)
        })
        .collect();
    assert!(known.windows(2).all(|pair| (pair[1].0 - pair[0].0) * (known[1].0 - known[0].0) > 0.0));
    known
        .iter()
        .map(|(m, parameter)| {
            let others = known.iter().filter(|other| other.0 != *m);
            parameter * others.map(|other| (1.0 - other.0) / (m - other.0)).product::<f64>()
        })
        .sum()
}

fn check_folds(pair: Pair, name: &str, drive_key: &str) {
    let wanted = json("duffing/nonlinear_pair.json")[name]["folds_from_weak_drive_upward"].clone();
    let branch = pair.branch();
    assert_eq!(branch.folds.len(), 2);
    for (at, want) in branch.folds.iter().zip(wanted.as_array().unwrap()) {
        let near = pair.near_fold(&branch, *at);
        let got = fold(&near, near.folds[0]);
        eprintln!("{name}: fold at {got:.10}, reference {}", want[drive_key]);
        let reason = "nine points, eighth order: steps of 0.004 are 1e-7 off; ten digits are given";
        assert_absolute(got, number(want, drive_key), 2e-10, reason);
    }
}

#[test]
fn cross_duffing_agrees_in_every_number_of_all_three_solutions() {
    check_cases(Pair::Duffing, "duffing", "drive");
}

#[test]
fn cross_duffing_folds_agree_with_direct_solution() {
    check_folds(Pair::Duffing, "duffing", "drive");
}

#[test]
fn cross_series_ferroresonance_agrees_for_one_and_for_three_solutions() {
    check_cases(Pair::Ferroresonance, "series_ferroresonance", "source_peak");
}

#[test]
fn cross_series_ferroresonance_folds_agree_with_direct_solution() {
    check_folds(Pair::Ferroresonance, "series_ferroresonance", "source_peak");
}
