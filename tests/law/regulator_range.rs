//! Targets in and out of reach, sensing, threads, neighbours.

use loopcrest::circuit::SenseLaw;
use loopcrest::regulator::{
    Load, ReachSide, Regulated, ResistiveLoad, ResonantRegulator, SolveOptions, TableCell,
    operating_table,
};
use proptest::prelude::*;

fn regulator() -> ResonantRegulator {
    ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap()
}

fn load(ratio: f64) -> ResistiveLoad {
    ResistiveLoad::new(ratio * 230.0).unwrap()
}

#[test]
fn law_targets_out_of_reach_come_with_the_nearest_current() {
    for ratio in [0.02, 0.5, 1.0] {
        for (target_a, side) in [(9.0, ReachSide::AboveHighest), (0.5, ReachSide::BelowLowest)] {
            let answer = regulator().hold(&load(ratio), target_a, None, &SolveOptions::default());
            let Regulated::OutOfReach(reach) = answer.unwrap() else {
                panic!("{target_a} A at {ratio} was held")
            };
            assert_eq!(reach.side, side);
            assert!((reach.nearest.output_rms_a() - reach.limit_a).abs() < 1e-9);
            // Just inside of the limit it can be held: the limit is the limit.
            let inside_a =
                reach.limit_a + if side == ReachSide::AboveHighest { -0.01 } else { 0.01 };
            let held = regulator().hold(&load(ratio), inside_a, None, &SolveOptions::default());
            assert!(held.unwrap().held().is_some(), "{inside_a} A at {ratio}");
        }
    }
}

#[test]
fn law_absurd_targets_and_ratings_are_errors() {
    for target_a in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(regulator().hold(&load(0.5), target_a, None, &SolveOptions::default()).is_err());
    }
    assert!(ResonantRegulator::generic(f64::NAN, 6.6, 60.0).is_err());
    assert!(ResistiveLoad::new(-1.0).is_err());
    assert!(regulator().at_delay(&load(0.5), 0.1, &SolveOptions::default()).is_err());
}

/// Scaling a machine by power, current and frequency changes nothing but the units.
#[test]
fn law_every_rating_is_the_same_machine_in_its_own_units() {
    let options = SolveOptions::default();
    let reference = regulator().hold(&load(0.5), 4.1, None, &options).unwrap().held().unwrap();
    for (power_w, current_a, frequency_hz) in [
        (4_000.0, 6.6, 60.0),
        (30_000.0, 20.0, 60.0),
        (30_000.0, 6.6, 50.0),
        (70_000.0, 20.0, 50.0),
    ] {
        let machine = ResonantRegulator::generic(power_w, current_a, frequency_hz).unwrap();
        let load = ResistiveLoad::new(0.5 * machine.values.reactance_ohm()).unwrap();
        let target_a = 4.1 * current_a / 6.6;
        let point = machine.hold(&load, target_a, None, &options).unwrap().held().unwrap();
        // The same equations up to rounding, solved to a defect below 1e-10.
        assert!((point.delay_rad() - reference.delay_rad()).abs() < 1e-8);
        let crest = |p: &loopcrest::regulator::OperatingPoint| {
            p.output.measures().dc.crest_factor().unwrap()
        };
        assert!((crest(&point) - crest(&reference)).abs() < 1e-8);
    }
}

/// A control that senses the rectified mean holds that, and its true RMS differs between a short
/// and a load.
#[test]
fn law_average_sensing_holds_the_average_and_moves_the_true_rms() {
    let options = SolveOptions { sense: SenseLaw::RectifiedMean, ..SolveOptions::default() };
    let rms_a: Vec<f64> = [0.02, 1.0]
        .iter()
        .map(|ratio| {
            let point =
                regulator().hold(&load(*ratio), 2.8, None, &options).unwrap().held().unwrap();
            // 7200 midpoints see the rectified mean to about 1e-7.
            assert!((point.sensed_a() - 2.8).abs() < 1e-6, "{}", point.sensed_a());
            assert!((point.solution.sensed_a.unwrap() - 2.8).abs() < 1e-9);
            point.output_rms_a()
        })
        .collect();
    assert!(rms_a[0] > 2.8 * 1.02, "shorted the true RMS is more than 2 % above: {}", rms_a[0]);
    assert!(rms_a[1] < 2.8 * 0.995, "loaded it is below: {}", rms_a[1]);
}

#[test]
fn law_the_table_has_the_same_bytes_on_any_number_of_threads() {
    let loads: Vec<ResistiveLoad> = (1..=6).map(|k| load(f64::from(k) / 6.0)).collect();
    let loads: Vec<&dyn Load> = loads.iter().map(|load| load as &dyn Load).collect();
    let table = |threads: usize| -> Vec<TableCell> {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let targets_a = [2.8, 3.4, 4.1, 5.2, 6.6, 9.0];
        pool.install(|| operating_table(&regulator(), &loads, &targets_a, &SolveOptions::default()))
    };
    let (one, four) = (table(1), table(4));
    assert_eq!(one.len(), 36);
    let mut held = 0;
    for (a, b) in one.iter().zip(&four) {
        assert_eq!((a.load, a.target), (b.load, b.target));
        match (a.answer.as_ref().unwrap(), b.answer.as_ref().unwrap()) {
            (Regulated::Held(p), Regulated::Held(q)) => {
                held += 1;
                assert_eq!(p.output.samples_a(), q.output.samples_a());
            }
            (Regulated::OutOfReach(p), Regulated::OutOfReach(q)) => {
                assert_eq!(p.limit_a.to_bits(), q.limit_a.to_bits());
            }
            _ => panic!("held on one number of threads only"),
        }
    }
    assert_eq!(held, 30, "every brightness step at every load, and none at 9 A");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 16, ..ProptestConfig::default() })]

    /// Wherever one starts, the operating point is the same.
    #[test]
    fn law_a_neighbour_leads_to_the_same_operating_point_as_a_cold_start(
        from in (0.02..1.0f64, 2.7..6.7f64), to in (0.02..1.0f64, 2.7..6.7f64),
    ) {
        let options = SolveOptions::default();
        let near = regulator().hold(&load(from.0), from.1, None, &options).unwrap().held().unwrap();
        let cold = regulator().hold(&load(to.0), to.1, None, &options).unwrap().held().unwrap();
        let warm =
            regulator().hold(&load(to.0), to.1, Some(&near), &options).unwrap().held().unwrap();
        prop_assert!((cold.output_rms_a() - to.1).abs() < 1e-8);
        prop_assert!((warm.delay_rad() - cold.delay_rad()).abs() < 1e-7);
        prop_assert!(warm.solution.defect_ratio < 1e-9);
        // Half-wave symmetry by construction.
        let samples = cold.output.samples_a();
        prop_assert!((0..3600).all(|k| (samples[k] + samples[k + 3600]).abs() == 0.0));
    }
}
