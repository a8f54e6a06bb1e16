//! Events in synthetic records whose changes are known, and none in records without any.

use std::f64::consts::{SQRT_2, TAU};

use loopcrest::capture::{
    ChannelOptions, Event, EventKind, PeriodOptions, ReadOptions, RecordSummary, SampleStream,
};
use loopcrest::waveform::{Noise, Scale, Shape, Synthesis};

/// Even noise between -1 and 1, the same for the same sample (splitmix finaliser).
pub(crate) fn noise(k: usize) -> f64 {
    let mut z = (k as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15).wrapping_add(0x5851_F42D_4C95_7F2D);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 52) as f64 - 1.0
}

/// The summary of a record written as text and read as a stream.
fn summary_of(rate_hz: f64, samples_a: &[f64]) -> RecordSummary {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("record.csv");
    let mut text = String::from("I (A)\n");
    for i_a in samples_a {
        text += &if i_a.is_nan() { "OL\n".to_owned() } else { format!("{i_a:.9}\n") };
    }
    std::fs::write(&file, text).unwrap();
    let reading = ReadOptions { sample_rate_hz: Some(rate_hz), ..ReadOptions::default() };
    let mut stream = SampleStream::open(&file, &reading, &ChannelOptions::default()).unwrap().value;
    RecordSummary::of(&mut stream, &PeriodOptions::default(), &mut (), &mut |_| ()).unwrap().value
}

fn record(rate_hz: f64, seconds: f64, at: impl Fn(f64, usize) -> f64) -> RecordSummary {
    let count = (rate_hz * seconds) as usize;
    let samples_a: Vec<f64> = (0..count).map(|k| at(k as f64 / rate_hz, k)).collect();
    summary_of(rate_hz, &samples_a)
}

fn keys(summary: &RecordSummary) -> Vec<&'static str> {
    summary.events.iter().map(|event| event.kind.key()).collect()
}

fn only(summary: &RecordSummary, key: &str) -> Event {
    assert_eq!(keys(summary), [key], "{:?}", summary.events);
    summary.events[0]
}

fn sine(t: f64) -> f64 {
    SQRT_2 * (TAU * 50.0 * t).sin()
}

/// A change is known to half a period, 10 ms, and a quarter more for the threshold.
const TIME_S: f64 = 0.0125;

#[test]
fn law_a_step_is_found_with_its_time_and_size() {
    let level = |t: f64| if t < 1.234 { 5.2 } else { 6.6 };
    let summary = record(4000.0, 3.0, |t, k| level(t) * sine(t) + 0.01 * noise(k));
    let event = only(&summary, "step-change");
    assert!((event.start_s - 1.234).abs() < TIME_S, "{event:?}");
    let EventKind::StepChange { from_rms_a, to_rms_a } = event.kind else { unreachable!() };
    // Noise of 0.006 A RMS over 50 and 10 half cycles of 40 samples: below a thousandth of an ampere.
    assert!((from_rms_a - 5.2).abs() < 2e-3 && (to_rms_a - 6.6).abs() < 2e-3, "{event:?}");
    let part = summary.steady.unwrap();
    assert!((part.rms_a() - 6.6).abs() < 1e-3, "the longer part stands for the record");
    assert!(part.start_s > 1.2, "{}", part.start_s);
}

#[test]
fn law_a_dropout_is_found_with_its_length() {
    for (from_s, to_s) in [(1.0, 1.5), (1.003, 1.063), (0.7, 0.74)] {
        let on = |t: f64| f64::from(!(from_s..to_s).contains(&t));
        let summary = record(4000.0, 2.5, |t, k| 6.6 * on(t) * sine(t) + 0.003 * noise(k));
        let event = only(&summary, "dropout");
        assert!((event.start_s - from_s).abs() < TIME_S, "{event:?} {from_s}");
        let off = (event.duration_s().unwrap() - (to_s - from_s)).abs();
        assert!(off < 2.0 * TIME_S, "{event:?} {}", to_s - from_s);
        let EventKind::Dropout { from_rms_a, least_rms_a } = event.kind else { unreachable!() };
        assert!((from_rms_a - 6.6).abs() < 2e-3 && least_rms_a < 0.33, "{event:?}");
    }
}

/// A current that decays from four times its settled size with a time constant of 0.15 s.
#[test]
fn law_switching_on_with_an_inrush() {
    let on_s = 0.52;
    let shape = |t: f64| if t < on_s { 0.0 } else { 1.0 + 3.0 * (-(t - on_s) / 0.15).exp() };
    let summary = record(4000.0, 4.0, |t, k| 2.0 * shape(t) * sine(t) + 0.002 * noise(k));
    assert_eq!(keys(&summary), ["switched-on", "inrush"], "{:?}", summary.events);
    for event in &summary.events {
        assert!((event.start_s - on_s).abs() < TIME_S, "{event:?}");
    }
    let EventKind::Inrush { peak_a, most_rms_a, settled_rms_a } = summary.events[1].kind else {
        unreachable!()
    };
    // The first crest, 5 ms after switching on: 2 √2 (1 + 3 e^{−1/30}).
    let first_crest_a = 2.0 * SQRT_2 * (1.0 + 3.0 * (-1.0_f64 / 30.0).exp());
    assert!((peak_a / first_crest_a - 1.0).abs() < 0.01, "{peak_a} {first_crest_a}");
    assert!(most_rms_a > 7.0 && most_rms_a < 8.0, "{most_rms_a}");
    // Settled is what changes by less than 1 % in 0.1 s, so it may still be 1.5 % high.
    assert!((settled_rms_a / 2.0 - 1.0).abs() < 0.02, "{settled_rms_a}");
}

#[test]
fn law_switching_off_and_a_short_excursion() {
    let summary = record(4000.0, 2.0, |t, k| 6.6 * f64::from(t < 1.2) * sine(t) + 0.003 * noise(k));
    let event = only(&summary, "switched-off");
    assert!((event.start_s - 1.2).abs() < TIME_S, "{event:?}");
    let dip = |t: f64| if (1.0..1.1).contains(&t) { 0.7 } else { 1.0 };
    let summary = record(4000.0, 2.0, |t, k| 6.6 * dip(t) * sine(t) + 0.003 * noise(k));
    let event = only(&summary, "excursion");
    let EventKind::Excursion { level_rms_a, extreme_rms_a } = event.kind else { unreachable!() };
    assert!((level_rms_a - 6.6).abs() < 2e-3, "{event:?}");
    assert!((extreme_rms_a / 6.6 - 0.7).abs() < 1e-3, "five whole cycles of 70 %: {event:?}");
}

/// A converter of 12 bits over ±10 A that a sine of 12 A peak overruns.
#[test]
fn law_clipping_at_the_rails() {
    let step_a = 20.0 / 4096.0;
    let quantised = |i_a: f64| ((i_a / step_a).round() * step_a).clamp(-10.0, 10.0 - step_a);
    let summary =
        record(10_000.0, 2.0, |t, k| quantised(12.0 / SQRT_2 * sine(t) + step_a * noise(k)));
    let event = only(&summary, "clipping");
    let EventKind::Clipping { high_rail_a, low_rail_a, periods } = event.kind else {
        unreachable!()
    };
    assert!((high_rail_a.unwrap() - (10.0 - step_a)).abs() < 1e-8, "{event:?}");
    assert!((low_rail_a.unwrap() + 10.0).abs() < 1e-8, "{event:?}");
    assert!(periods >= 95, "nearly every period of 100: {periods}");
}

#[test]
fn law_a_mean_from_a_clamp() {
    let summary = record(4000.0, 1.0, |t, k| 0.2 + 6.6 * sine(t) + 0.003 * noise(k));
    let event = only(&summary, "direct-current");
    let EventKind::DirectCurrent { mean_a, ratio } = event.kind else { unreachable!() };
    assert!((mean_a - 0.2).abs() < 1e-3 && (ratio - 0.2 / 6.603).abs() < 1e-3, "{event:?}");
}

/// 20 samples in a period of a sine, and 80 in one of narrow pulses.
#[test]
fn law_a_rate_too_low_for_a_peak() {
    let summary = record(1000.0, 2.0, |t, k| 6.6 * sine(t) + 0.003 * noise(k));
    let event = only(&summary, "rate-too-low");
    let EventKind::RateTooLow { samples_per_period, .. } = event.kind else { unreachable!() };
    assert!((samples_per_period - 20.0).abs() < 0.01, "{event:?}");
    // Gaussian pulses 0.25 ms wide at half of their height, 0.25 ms between samples.
    let pulses = |t: f64| {
        let half = (t * 2.0 * 49.9).floor();
        let x = t - (half + 0.5) / (2.0 * 49.9);
        let sign = if half as i64 % 2 == 0 { 1.0 } else { -1.0 };
        sign * (-(x / 1.5e-4).powi(2)).exp()
    };
    let summary = record(4000.0, 2.0, |t, k| 20.0 * pulses(t) + 0.003 * noise(k));
    assert!(keys(&summary).contains(&"rate-too-low"), "{:?}", summary.events);
}

/// A 47th harmonic sampled at 80 and a third samples a period without a filter: it shows at order
/// 33.3, between two harmonics.
#[test]
fn law_a_folded_harmonic() {
    let hz = 4000.0 / (80.0 + 1.0 / 3.0);
    let tone = |t: f64, ratio: f64| {
        6.6 * SQRT_2 * ((TAU * hz * t).sin() + ratio * (TAU * 47.0 * hz * t).sin())
    };
    let summary = record(4000.0, 3.0, |t, k| tone(t, 0.02) + 0.003 * noise(k));
    let found = summary.events.iter().find(|event| event.kind.key() == "aliasing-suspected");
    let Some(EventKind::AliasingSuspected { line_hz, order, ratio }) = found.map(|e| e.kind) else {
        panic!("{:?}", summary.events)
    };
    assert_eq!(order, 47);
    assert!((line_hz - (4000.0 - 47.0 * hz)).abs() < 0.1, "{line_hz}");
    assert!((ratio - 0.02).abs() < 1e-3, "the Hann window's own line: {ratio}");
}

/// Gaps are named and cut no other event out of nothing.
#[test]
fn law_a_gap_is_a_gap_and_nothing_else() {
    let summary = record(4000.0, 2.0, |t, k| {
        if (3000..3100).contains(&k) { f64::NAN } else { 6.6 * sine(t) + 0.003 * noise(k) }
    });
    let event = only(&summary, "gap");
    let EventKind::Gap { samples } = event.kind else { unreachable!() };
    assert_eq!(samples, 100);
    assert!((event.start_s - 0.75).abs() < 1e-9, "sample 3000 at 4 kHz: {event:?}");
    assert_eq!(summary.missing_samples, 100);
}

/// Nothing happens in records in which nothing happens: shapes, amplitudes, converters, noise, slow
/// drift of the frequency and of the current.
#[test]
fn law_no_event_without_one() {
    let shapes = [
        Shape::Sine,
        Shape::Harmonics(vec![]),
        Shape::ClippedSine { level_ratio: 0.8, sharpness: 8.0 },
        Shape::Triangle,
        Shape::PhaseCut { delay_rad: 1.0 },
    ];
    for (at, shape) in shapes.iter().enumerate() {
        for (rms_a, bits, noise_ratio) in [
            (6.6, None, 0.002),
            (2.8, Some(8), 0.0),
            (0.05, Some(12), 0.001),
            (20.0, Some(16), 0.01),
        ] {
            let noise = (noise_ratio > 0.0).then_some(Noise { ratio: noise_ratio, seed: 7 });
            let synthesis = Synthesis {
                noise,
                frequency_hz: 50.0,
                samples_per_period: 400,
                periods: 120,
                ..Synthesis::new(shape.clone(), Scale::RmsA(rms_a))
            };
            let waveform = synthesis.waveform().unwrap();
            let full_a = 2.0 * waveform.measures().dc.peak_a;
            let quantised = |i_a: f64| match bits {
                None => i_a,
                Some(bits) => {
                    let step_a = full_a / f64::from(1 << (bits - 1));
                    (i_a / step_a).round() * step_a
                }
            };
            let samples_a: Vec<f64> =
                waveform.samples_a().iter().map(|i_a| quantised(*i_a)).collect();
            let summary = summary_of(20_000.0, &samples_a);
            assert!(
                summary.events.is_empty(),
                "shape {at} at {rms_a} A, {bits:?} bits: {:?}",
                summary.events
            );
            assert!(summary.steady.unwrap().periods() > 100);
        }
    }
    let drifting = record(5000.0, 6.0, |t, k| {
        let turn = TAU * (49.8 * t + 0.02 * t * t);
        6.6 * SQRT_2 * (1.0 + 0.003 * t) * turn.sin() + 0.01 * noise(k)
    });
    assert!(drifting.events.is_empty(), "{:?}", drifting.events);
}
