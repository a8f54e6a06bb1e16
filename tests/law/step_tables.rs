//! What must hold for every table of steps.

use loopcrest::regulator::{Band, Step, StepTable};
use loopcrest::waveform::TrueRms;

/// Common practice, no source: the top step of a 6.6 A circuit is set within ±0.1 A.
#[test]
fn law_own_tables_are_checked() {
    let step = |number, nominal_a, low_a, high_a| Step {
        number,
        nominal: TrueRms::stated_a(nominal_a),
        band: Band::new(low_a, high_a).unwrap(),
        source: loopcrest::cited::Source::entered("common practice, no source"),
        remark: None,
    };
    assert!(StepTable::new("own", vec![step(1, 4.8, 4.7, 4.9), step(2, 6.6, 6.5, 6.7)]).is_ok());
    for (steps, part) in [
        (vec![], "without steps"),
        (vec![step(1, 6.6, 6.7, 6.8)], "outside its band"),
        (vec![step(1, 4.8, 4.7, 4.9), step(1, 6.6, 6.5, 6.7)], "given twice"),
        (vec![step(2, 4.8, 4.7, 4.9), step(1, 6.6, 6.5, 6.7)], "not brighter"),
        (vec![step(0, 6.6, 6.5, 6.7)], "step number is 0"),
    ] {
        let message = StepTable::new("own", steps).unwrap_err().to_string();
        assert!(message.contains(part), "{message}");
    }
    assert!(Band::new(6.7, 6.5).is_err());
    assert!(Band::new(f64::NAN, 6.5).is_err());
}
