//! A step trimmed with the output shorted, read again with the field connected.

use std::path::Path;

use loopcrest::assess::Recheck;
use loopcrest::description::Description;

fn rechecked(sense: &str) -> Recheck {
    let text = format!(
        "format = 1\ntitle = \"bench\"\ninvented = true\n[steps]\ncircuit = \"6.6A-5-step\"\n\
         [regulator]\nrating = \"10 kW\"\nload = \"2 %\"\nrecheck-load = \"100 %\"\n\
         sense = \"{sense}\"\n\
         [[meter]]\nname = \"rms\"\ndetector = \"true-rms\"\n\
         [[meter]]\nname = \"average\"\ndetector = \"average\"\n"
    );
    let description = Description::parse(&text, Path::new("")).unwrap();
    let cases = description.cases().unwrap().value;
    let survey = description.survey(&cases).unwrap();
    description.recheck(&survey).unwrap().unwrap().value
}

/// The control senses true RMS: the current stays, the average-responding meter moves up (it read
/// low on the shorted output and reads high at full load).
#[test]
fn physics_a_true_rms_control_holds_the_current_and_the_meter_moves() {
    let recheck = rechecked("true-rms");
    assert_eq!(recheck.rows.len(), 10);
    for row in &recheck.rows {
        assert!((row.loaded.a() / row.set.a() - 1.0).abs() < 1e-8, "{row:?}");
        if row.meter.name == "average" {
            assert!(row.shown_change_ratio > 0.004, "{row:?}");
        } else {
            assert!(row.shown_change_ratio.abs() < 1e-8, "{row:?}");
        }
    }
}

/// The control senses the average: an average-responding meter sees nothing, and the true current
/// has fallen.
#[test]
fn physics_an_average_control_moves_the_current_and_its_own_kind_of_meter_is_blind_to_it() {
    for row in rechecked("average").rows {
        assert!(row.loaded.a() < row.set.a() * 0.997, "{row:?}");
        if row.meter.name == "average" {
            // The control keeps what the meter shows. Trimming takes the shape of the current at the
            // nominal; at the trimmed current, up to 3 % away, the shape has moved by a few 1e-4.
            assert!(row.shown_change_ratio.abs() < 1e-3, "{row:?}");
        } else {
            assert!(row.shown_change_ratio < -0.003, "{row:?}");
        }
    }
}
