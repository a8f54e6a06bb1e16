//! Limits of error of current transformers, as quoted from the standard.

use loopcrest::meter::{IronCore, TransformerClass};

use super::sources::IEC_61869_2;
use crate::support::{agrees_as_printed, assert_relative};

/// Share of the rated current in percent, limit of the ratio in percent, of the phase in minutes.
type Row = (f64, &'static str, Option<&'static str>);

#[test]
fn published_limits_at_the_points_of_the_tables() {
    let tables: [(TransformerClass, &[Row]); 3] = [
        (
            TransformerClass::Half,
            &[
                (5.0, "1.5", Some("90")),
                (20.0, "0.75", Some("45")),
                (100.0, "0.5", Some("30")),
                (120.0, "0.5", Some("30")),
            ],
        ),
        (
            TransformerClass::One,
            &[
                (5.0, "3", Some("180")),
                (20.0, "1.5", Some("90")),
                (100.0, "1", Some("60")),
                (120.0, "1", Some("60")),
            ],
        ),
        (TransformerClass::Three, &[(50.0, "3", None), (120.0, "3", None)]),
    ];
    for (class, rows) in tables {
        for (percent, error, minutes) in rows {
            let limit = class.limit(percent / 100.0);
            assert!(limit.is_within_table, "{IEC_61869_2}: {percent} %");
            // Exactly: the printed limit in percent, whatever the rounding of a hundredth.
            let want: f64 = error.parse().unwrap();
            assert_relative(100.0 * limit.error_ratio, want, 1e-15, "as quoted");
            match (limit.phase_rad, minutes) {
                (Some(phase_rad), Some(minutes)) => {
                    agrees_as_printed(60.0 * phase_rad.to_degrees(), minutes);
                }
                (None, None) => {}
                other => panic!("{other:?}"),
            }
        }
    }
}

/// 6.6 A in a clamp of 100 A, class 1: about 3 %, not 1 %; 2.8 A is below the table, and the limit
/// grows as 1 / current by our own rule.
#[test]
fn published_a_small_current_in_a_large_clamp() {
    let clamp = IronCore {
        rated_a: 100.0,
        class: Some(TransformerClass::One),
        low_cutoff_hz: None,
        saturation_peak_a: None,
    };
    let limit = clamp.limit(6.6).unwrap();
    agrees_as_printed(100.0 * limit.error_ratio, "3");
    assert!(limit.is_within_table);
    let below = clamp.limit(2.8).unwrap();
    assert_relative(
        below.error_ratio,
        0.03 * 5.0 / 2.8,
        1e-12,
        "the error in amperes of 5 A is kept",
    );
    assert!(!below.is_within_table);
}
