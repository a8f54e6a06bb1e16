//! Clamp and poles by lines against the same run in time by scipy's filters
//! (`tests/reference/meter`).

use std::f64::consts::PI;
use std::path::Path;

use loopcrest::meter::{
    Bandwidth, Cause, Clamp, CrestCapability, Detector, IronCore, Range, RangeRule, Ranges, Sheet,
    Simulation,
};
use loopcrest::waveform::{Coupling, Harmonic, Scale, Shape, Synthesis};
use serde_json::Value;

use crate::support::assert_relative;

/// A jump is moved by half of a sample in one of the two methods: some of 1/72000 of the largest
/// sample; the two holds of the reference differ by up to 7e-6 themselves.
const REASON: &str = "half a sample of 72000 at a jump, and the reference's own discretising";
const TOLERANCE: f64 = 4e-5;

fn shape(name: &str) -> Shape {
    let cut = |deg: f64| Shape::PhaseCut { delay_rad: deg.to_radians() };
    match name {
        "phase-cut 120" => cut(120.0),
        "phase-cut 90" => cut(90.0),
        "third 0.2 at 180" => {
            Shape::Harmonics(vec![Harmonic { order: 3, ratio: 0.2, phase_rad: PI }])
        }
        other => panic!("no such current: {other}"),
    }
}

fn sheet(row: &Value, law: Detector) -> Sheet {
    let poles: Vec<f64> =
        row["poles_hz"].as_array().unwrap().iter().map(|hz| hz.as_f64().unwrap()).collect();
    let low_cutoff_hz = row["low_hz"].as_f64();
    let core = IronCore { rated_a: 100.0, class: None, low_cutoff_hz, saturation_peak_a: None };
    Sheet {
        clamp: Clamp::IronCore(core),
        bandwidth: if poles.is_empty() { Bandwidth::Unlimited } else { Bandwidth::Poles(poles) },
        ranges: Ranges {
            list: vec![Range { full_scale_a: 10.0, resolution_a: 1e-9 }],
            rule: RangeRule::Manual(0),
        },
        ..Sheet::ideal(law)
    }
}

#[test]
fn cross_front_end_agrees_with_filters_run_in_time() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/meter/front_end.json");
    let reference: Value = serde_json::from_slice(&std::fs::read(file).unwrap()).unwrap();
    let rows = reference["rows"].as_array().unwrap();
    assert_eq!(rows.len(), 18);
    let laws = [
        (Detector::TrueRms(Coupling::Ac), "rms", 1.0),
        (Detector::AverageResponding(Coupling::Ac), "arv", Detector::AVERAGE_SCALE),
        (Detector::PeakResponding(Coupling::Ac), "peak", Detector::PEAK_SCALE),
    ];
    for row in rows {
        let recipe = Synthesis {
            samples_per_period: 72_000,
            ..Synthesis::new(shape(row["current"].as_str().unwrap()), Scale::RmsA(1.0))
        };
        let waveform = recipe.waveform().unwrap();
        for (law, field, scale) in laws {
            let sheet = sheet(row, law);
            let reading =
                Simulation::new(sheet.clone(), 60.0).unwrap().read_waveform(&waveform).unwrap();
            let want = scale * row["whole"][field].as_f64().unwrap();
            assert_relative(reading.breakdown.after_a(Cause::Bandwidth), want, TOLERANCE, REASON);
            // The same behind a range that clips at 0.8 of the peak.
            let limit_a = row["clip_at"].as_f64().unwrap();
            let mut tight = sheet;
            tight.ranges.list[0].full_scale_a = 0.5 * limit_a;
            tight.crest =
                Some(CrestCapability { at_full_scale: 2.0, cap: None, bands: Vec::new() });
            let reading = Simulation::new(tight, 60.0).unwrap().read_waveform(&waveform).unwrap();
            let want = scale * row["clipped"][field].as_f64().unwrap();
            assert_relative(reading.breakdown.after_a(Cause::CrestLimit), want, TOLERANCE, REASON);
        }
    }
}
