//! Seconds for one regulated operating point, firing delay unknown, no neighbour to start from: one
//! line `id,seconds` for each point that `against_ngspice.py` puts a general-purpose simulator to.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a measuring program whose lines are its output"
)]

use std::hint::black_box;
use std::time::Instant;

use loopcrest::regulator::{OperatingPoint, ResistiveLoad, ResonantRegulator, SolveOptions};

/// Load over 230 ohm and step, as in the ids of the reference points.
const POINTS: [(&str, f64, f64); 6] = [
    ("load-0.02-step-4.1", 0.02, 4.1),
    ("load-0.02-step-6.6", 0.02, 6.6),
    ("load-0.5-step-2.8", 0.5, 2.8),
    ("load-0.5-step-4.1", 0.5, 4.1),
    ("load-1.0-step-4.1", 1.0, 4.1),
    ("load-1.0-step-6.6", 1.0, 6.6),
];

const SOLVES: usize = 301;

fn solve(load_ratio: f64, target_a: f64) -> OperatingPoint {
    let regulator = ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap();
    let load = ResistiveLoad::new(load_ratio * 230.0).unwrap();
    regulator.hold(&load, target_a, None, &SolveOptions::default()).unwrap().held().unwrap()
}

fn main() {
    for (id, load_ratio, target_a) in POINTS {
        let point = solve(load_ratio, target_a);
        assert!(point.solution.defect_ratio < 1e-9, "{id}: what is timed is converged");
        assert!((point.output_rms_a() / target_a - 1.0).abs() < 1e-8, "{id}: and holds the step");
        let mut seconds: Vec<f64> = (0..SOLVES)
            .map(|_| {
                let began = Instant::now();
                black_box(solve(black_box(load_ratio), black_box(target_a)));
                began.elapsed().as_secs_f64()
            })
            .collect();
        seconds.sort_by(f64::total_cmp);
        println!("{id},{:.7}", seconds[SOLVES / 2]);
    }
}
