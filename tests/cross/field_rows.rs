//! A field with open fixtures against an independent event-located half-wave shooting (the rows with
//! open fixtures of `tests/reference/shooting`): another integrator, section and program.

use super::circuit_reference::{json, number};
use crate::support::assert_absolute;
use crate::support::assert_relative;
use crate::support::fields::{hold, reference_field};

struct Row {
    open: u32,
    target_a: f64,
    delay_deg: f64,
    average_error_percent: f64,
    crest_factor: f64,
    thd_percent: f64,
    output_peak_v: f64,
}

/// Printed digits of the reference.
const ROWS: [Row; 2] = [
    Row {
        open: 1,
        target_a: 4.1,
        delay_deg: 134.520,
        average_error_percent: -1.381,
        crest_factor: 1.4935,
        thd_percent: 9.706,
        output_peak_v: 828.5,
    },
    Row {
        open: 5,
        target_a: 2.8,
        delay_deg: 129.015,
        average_error_percent: -4.993,
        crest_factor: 1.6543,
        thd_percent: 25.331,
        output_peak_v: 1153.8,
    },
];

#[test]
fn cross_open_fixtures_of_a_field_agree_with_independent_shooting() {
    for row in &ROWS {
        let point = hold(&reference_field(row.open), row.target_a, None);
        let half = "half of the last printed digit, and half for the grid of the peak";
        let error_percent = 100.0 * point.average_responding_error_ratio();
        assert_absolute(point.delay_rad().to_degrees(), row.delay_deg, 1e-3, half);
        assert_absolute(error_percent, row.average_error_percent, 1e-3, half);
        assert_absolute(point.crest_factor().unwrap(), row.crest_factor, 1e-4, half);
        assert_absolute(100.0 * point.thd_ratio().unwrap(), row.thd_percent, 1e-3, half);
        assert_absolute(point.power.voltage_peak_v, row.output_peak_v, 0.1, half);
        assert_eq!(point.rounds, 1, "resistances that do not move need one solution");
    }
}

/// The same two rows to the digits of the reference's own file, voltages and lines as well.
#[test]
fn cross_open_fixtures_of_a_field_agree_with_every_digit_of_the_reference() {
    let rows = json("shooting/operating_points.json")["points"].as_array().unwrap().clone();
    let rows: Vec<_> =
        rows.iter().filter(|row| row["open_fixtures"].as_f64() != Some(0.0)).collect();
    assert_eq!(rows.len(), 2, "one and five of fifty open");
    for row in rows {
        let open = number(row, "open_fixtures") as u32;
        let point = hold(&reference_field(open), number(row, "step_a"), None);
        // Default steps are good to 1e-9 of each state's peak; the reference means over 4096 samples.
        let steps = "step control of 1e-9 at the slow mode, and the grids of both";
        assert_absolute(point.delay_rad(), number(row, "delay_rad"), 1e-7, steps);
        let error = point.average_responding_error_ratio();
        assert_absolute(error, number(row, "average_responding_error_ratio"), 1e-6, steps);
        let thd_ratio = point.thd_ratio().unwrap();
        assert_absolute(thd_ratio, number(row, "thd_h2_to_h59_ratio"), 1e-7, steps);
        let power = &point.power;
        assert_relative(power.voltage_rms_v, number(row, "output_rms_v"), 1e-6, steps);
        let grid = "a peak seen on a grid of a twentieth of a degree";
        assert_relative(power.voltage_peak_v, number(row, "output_peak_v"), 1e-5, grid);
        assert_relative(point.crest_factor().unwrap(), number(row, "crest_factor"), 1e-6, grid);
        let fundamental_a = number(&row["output_harmonics_peak_a"], "1") / 2_f64.sqrt();
        assert_relative(power.fundamental_rms_a, fundamental_a, 1e-8, steps);
    }
}
