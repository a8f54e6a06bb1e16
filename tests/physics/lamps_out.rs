//! Lamps go out one after the other: what the current, the voltage and the control do.

use loopcrest::circuit::Stability;
use loopcrest::regulator::SolveOptions;
use loopcrest::series::{
    Field, FieldAnswer, FieldLoad, FieldPoint, FieldTable, LampsOut, LampsOutEstimate,
    LampsOutSweep, MeasuredShape, ShapeQuantity,
};

use crate::support::fields::{generic, lamps, steps};

fn field(count: u32) -> Field {
    Field { groups: vec![lamps("approach", count, 200.0, 200.0)], ..Field::default() }
}

fn sweep(field: &Field, count: usize) -> Vec<LampsOutSweep> {
    let ratios = LampsOutSweep::even_ratios(count);
    let options = SolveOptions::default();
    LampsOutSweep::of(&generic(), field, LampsOut::EveryGroup, &ratios, &steps(), &options).unwrap()
}

/// From all lit to 40 % out, on a light, a half and a full field, at every step: the crest factor
/// rises with every lamp, an average-responding meter falls further behind, and so far the step is
/// held until it is lost for good.
#[test]
fn physics_every_lamp_out_makes_the_current_more_peaked() {
    for count in [8, 25, 42] {
        for sweep in sweep(&field(count), 17) {
            let held: Vec<_> = sweep.points.iter().map_while(|point| point.shape).collect();
            let all = sweep.points.iter().filter(|point| point.shape.is_some()).count();
            assert_eq!(held.len(), all, "once lost, a step stays lost");
            for pair in held.windows(2) {
                assert!(pair[1].crest_factor > pair[0].crest_factor, "{sweep:?}");
                assert!(
                    pair[1].average_responding_error_ratio < pair[0].average_responding_error_ratio
                );
            }
            assert_eq!(held[0].open_secondary_peak_v, None, "no lamp out yet");
            assert_eq!(sweep.limit_ratio.is_some(), all < 17);
        }
    }
}

/// The voltage at the output rises with lamps out where saturating cores replace more than their
/// lamps took, which is everywhere from half load on.
#[test]
fn physics_output_voltage_peaks_rise_with_lamps_out() {
    for sweep in sweep(&field(25), 9) {
        let held: Vec<_> = sweep.points.iter().filter_map(|point| point.shape).collect();
        for pair in held.windows(2) {
            assert!(pair[1].output_peak_v > pair[0].output_peak_v, "step {}", sweep.step.number);
        }
        // A generic core stays near its knee of 60 V RMS, so 85 V peak, and spikes to several times.
        let spike_v = held[8].open_secondary_peak_v.unwrap();
        assert!(spike_v > 150.0 && spike_v < 700.0, "{spike_v}");
    }
}

/// A full field loses the top step when lamps go out, and the lower ones never: the source runs out
/// of voltage. Just below the share found the step is held, at it the step is lost.
#[test]
fn physics_the_top_step_of_a_full_field_is_lost_first() {
    let field = field(42);
    let sweeps = sweep(&field, 9);
    let limits: Vec<Option<f64>> = sweeps.iter().map(|sweep| sweep.limit_ratio).collect();
    let (top, lower) = (limits[4].expect("the top step is lost"), &limits[..3]);
    assert!(lower.iter().all(Option::is_none), "{limits:?}");
    // Between one in ten and one in four: 7 of 42 fixtures, give or take a few (our own finding).
    assert!(top > 0.1 && top < 0.25, "{top}");
    let at = |open_ratio: f64| {
        let load = FieldLoad::with_open_ratio(&field, &generic(), open_ratio, LampsOut::EveryGroup);
        load.unwrap().hold(&generic(), 6.6, None, &SolveOptions::default()).unwrap()
    };
    assert!(matches!(at(top - 2e-3), FieldAnswer::Held(_)));
    let FieldAnswer::OutOfReach(reach) = at(top) else { panic!("held at {top}") };
    assert!(reach.limit_a < 6.6 && reach.limit_a > 6.5, "just short of it: {}", reach.limit_a);
}

/// One lamp in ten out: how low an average-responding meter reads.
///
/// DIFFERENCE: the design notes say 3 to 5 %, and with three in twenty 4 to 7 %. Found here, on
/// filament lamps and generic transformers of one size:
///
/// | field | step 1, 2.8 A | 4.1 A | step 5, 6.6 A | three in twenty: 2.8 / 4.1 / 6.6 A |
/// |---|---|---|---|---|
/// | light, 8 x 200 W | 3.0 % | 2.5 % | 0.7 % | 3.2 / 2.6 / 0.9 % |
/// | half, 25 x 200 W | 3.6 % | 3.0 % | 1.4 % | 4.4 / 3.7 / 2.0 % |
/// | full, 42 x 200 W | 4.5 % | 3.6 % | 2.1 % | 5.9 / 5.0 / 3.2 % |
///
/// The notes' numbers hold on the lower steps from half load on (their case, 50 fixtures and 0.6 of
/// the rated resistance, gives 5.0 % at 2.8 A); on the top step and on a light field it is less.
#[test]
fn physics_one_lamp_in_ten_out_on_light_half_and_full_fields() {
    // Percent low at steps 1, 3 and 5; rounded as in the table above.
    let found = [
        (8, [[3.0, 2.5, 0.7], [3.2, 2.6, 0.9]]),
        (25, [[3.6, 3.0, 1.4], [4.4, 3.7, 2.0]]),
        (42, [[4.5, 3.6, 2.1], [5.9, 5.0, 3.2]]),
    ];
    for (count, rows) in found {
        for (open_ratio, row) in [0.1, 0.15].into_iter().zip(rows) {
            for (target_a, want_percent) in [2.8, 4.1, 6.6].into_iter().zip(row) {
                let which = LampsOut::EveryGroup;
                let load = FieldLoad::with_open_ratio(&field(count), &generic(), open_ratio, which);
                let answer =
                    load.unwrap().hold(&generic(), target_a, None, &SolveOptions::default());
                let point = answer.unwrap().held().unwrap();
                let low_percent = -100.0 * point.average_responding_error_ratio();
                // Half of the table's last digit.
                let off = (low_percent - want_percent).abs();
                assert!(off <= 0.051, "{count} at {target_a} A: {low_percent} % low");
            }
        }
    }
}

/// A technician measures the crest factor, or both kinds of meter: the share that made it is found,
/// inside the interval, from half load on and on a lower step; on a light field at the top step and
/// with a coarse instrument nothing can be told, and that is said.
#[test]
fn physics_the_share_of_lamps_out_is_found_again_from_the_shape() {
    let out_ratio = 0.12;
    let steps = steps();
    let sweeps = sweep(&field(25), 17);
    for (sweep, step) in sweeps.iter().zip(&steps) {
        let which = LampsOut::EveryGroup;
        let load = FieldLoad::with_open_ratio(&field(25), &generic(), out_ratio, which).unwrap();
        let answer = load.hold(&generic(), step.nominal.a(), None, &SolveOptions::default());
        let truth = answer.unwrap().held().unwrap();
        for (quantity, value) in [
            (ShapeQuantity::CrestFactor, truth.crest_factor().unwrap()),
            (ShapeQuantity::AverageOverRms, 1.0 + truth.average_responding_error_ratio()),
        ] {
            let measured = MeasuredShape { quantity, value, standard_uncertainty: 0.003 };
            let noted = LampsOutEstimate::of(sweep, &measured).unwrap();
            let estimate = &noted.value;
            // Joining solved points 0.025 apart by straight lines is good to a tenth of that.
            assert!((estimate.most_likely_ratio - out_ratio).abs() < 2.5e-3, "{estimate:?}");
            let inside = |(low, high): &(f64, f64)| *low < out_ratio && out_ratio < *high;
            assert!(estimate.stretches.iter().any(inside), "{estimate:?}");
            assert!(noted.notes.is_empty(), "{:?}", noted.notes);
        }
    }
    let light = &sweep(&field(8), 9)[4];
    let measured = MeasuredShape {
        quantity: ShapeQuantity::AverageOverRms,
        value: 0.99,
        standard_uncertainty: 0.015,
    };
    let noted = LampsOutEstimate::of(light, &measured).unwrap();
    assert_eq!(noted.notes[0].code, "lamps-out-not-identifiable", "{noted:?}");
}

/// Through the table of a mixed field: the delay runs up with the step, lamps brighten, every point
/// is stable, and what is not modelled is said.
#[test]
fn physics_a_mixed_field_is_held_at_every_step() {
    let field = Field {
        groups: vec![
            lamps("edge", 40, 45.0, 45.0),
            lamps("approach", 15, 200.0, 200.0).with_open(3).unwrap(),
            lamps("signs", 8, 100.0, 100.0).with_shorted(1).unwrap(),
        ],
        ..Field::default()
    };
    let table = FieldTable::of(&generic(), &field, &steps(), &SolveOptions::default()).unwrap();
    let points: Vec<_> = table.rows.iter().map(|row| row.point().unwrap()).collect();
    for (point, step) in points.iter().zip(steps()) {
        assert_eq!(point.stability(), Stability::Stable);
        assert!((point.output_rms_a() / step.nominal.a() - 1.0).abs() < 1e-7);
        assert_eq!(point.notes()[0].code, "generic-model");
    }
    for pair in points.windows(2) {
        assert!(pair[1].delay_rad() > pair[0].delay_rad());
        let lamp_w = |point: &FieldPoint| point.groups[0].fixture_w.unwrap();
        assert!(lamp_w(pair[1]) > 1.5 * lamp_w(pair[0]), "power goes as the current to 2.8");
    }
}
