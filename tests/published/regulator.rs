//! The generic regulator against rows computed by an independent shooting method.

use loopcrest::regulator::{Regulated, ResistiveLoad, ResonantRegulator, SolveOptions};

#[test]
fn cross_generic_regulator_reproduces_reference_rows() {
    let regulator = ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap();
    for (load, target) in [(0.02, 4.1), (0.5, 2.8), (1.0, 4.1)] {
        let r = ResistiveLoad::new(load * 230.0).unwrap();
        let got = regulator.hold(&r, target, None, &SolveOptions::default()).unwrap();
        let Regulated::Held(p) = got else { panic!() };
        let m = p.output.measures();
        println!(
            "{load} {target} delay {:.4} avg {:.4} cf {:.5} it {} defect {:e} mult {:?}",
            p.delay_rad().to_degrees(),
            100.0 * p.average_responding_error_ratio(),
            m.dc.crest_factor().unwrap(),
            p.solution.iterations,
            p.solution.defect_ratio,
            p.solution.multipliers
        );
    }
}
