//! How lamps out change the current.

use std::time::Instant;

use loopcrest::regulator::SolveOptions;
use loopcrest::series::{Field, FieldAnswer, FieldLoad, FieldPoint, LampsOut};

use crate::support::fields::{generic, hold, lamps, reference_field};

#[test]
fn explore_fields() {
    let three = Field {
        groups: vec![
            lamps("edge", 40, 45.0, 45.0),
            lamps("approach", 15, 200.0, 200.0).with_open(3).unwrap(),
            lamps("signs", 8, 100.0, 100.0),
        ],
        ..Field::default()
    };
    for all in [false, true] {
        let load = if all {
            FieldLoad::with_every_core(&three, 6.6, 60.0)
        } else {
            FieldLoad::new(&three, 6.6, 60.0)
        }
        .unwrap();
        let mut start: Option<FieldPoint> = None;
        for target_a in [6.6, 5.2, 4.1, 3.4, 2.8] {
            let began = Instant::now();
            let answer =
                load.hold(&generic(), target_a, start.as_ref(), &SolveOptions::default()).unwrap();
            let took = began.elapsed();
            match answer {
                FieldAnswer::Held(point) => {
                    eprintln!(
                        "cores {all} {target_a} A: states {} {:.3} deg err {:+.3} % CF {:.4} THD {:.3} % peak {:.1} V open {:.1} V pf {:.4} rounds {} {:?} lamps {:?}",
                        point.operating.circuit.state_count(),
                        point.delay_rad().to_degrees(),
                        100.0 * point.average_responding_error_ratio(),
                        point.crest_factor().unwrap(),
                        100.0 * point.thd_ratio().unwrap(),
                        point.power.voltage_peak_v,
                        point.open_secondary_peak_v().unwrap(),
                        point.power.power_factor.unwrap(),
                        point.rounds,
                        took,
                        point.groups.iter().map(|g| g.secondary_rms_a.unwrap()).collect::<Vec<_>>(),
                    );
                    start = Some(*point);
                }
                FieldAnswer::OutOfReach(reach) => {
                    eprintln!("{target_a} out of reach {} {:?}", reach.limit_a, took);
                }
            }
        }
    }
    for (count, power_w) in
        [(8, 200.0), (25, 200.0), (42, 200.0), (33, 45.0), (100, 45.0), (180, 45.0)]
    {
        let field =
            Field { groups: vec![lamps("edge", count, power_w, power_w)], ..Field::default() };
        for target_a in [2.8, 4.1, 6.6] {
            let mut line = format!("{count} x {power_w} W at {target_a} A:");
            let mut start: Option<FieldPoint> = None;
            for k in 0..=8 {
                let load = FieldLoad::with_open_ratio(
                    &field,
                    6.6,
                    60.0,
                    0.05 * f64::from(k),
                    LampsOut::EveryGroup,
                )
                .unwrap();
                match load.hold(&generic(), target_a, start.as_ref(), &SolveOptions::default()) {
                    Ok(FieldAnswer::Held(point)) => {
                        line += &format!(
                            " {:+.2}/{:.3}",
                            100.0 * point.average_responding_error_ratio(),
                            point.crest_factor().unwrap()
                        );
                        start = Some(*point);
                    }
                    Ok(FieldAnswer::OutOfReach(reach)) => {
                        line += &format!(" X{:.2}", reach.limit_a)
                    }
                    Err(error) => line += &format!(" E({error})"),
                }
            }
            eprintln!("{line}");
        }
    }
    let _ = (hold(&reference_field(0), 4.1, None), 0);
}
