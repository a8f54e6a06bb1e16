//! One fault at a time on a meter that has no other, against closed forms.

use std::f64::consts::{FRAC_1_SQRT_2, PI, SQRT_2, TAU};

use loopcrest::meter::{
    Bandwidth, Cause, Clamp, Converter, CrestCapability, Detector, Display, FlexibleCoil, Hall,
    IronCore, Range, RangeRule, Ranges, Sheet, Signal, SimulatedReading, Simulation, Window,
    WindowStart,
};
use loopcrest::waveform::{Coupling, Harmonic, Scale, Shape, Synthesis, Waveform};

use crate::support::{agrees_as_printed, assert_absolute, assert_relative};

const TRUE_RMS: Detector = Detector::TrueRms(Coupling::Ac);

fn current(shape: Shape, rms_a: f64) -> Waveform {
    Synthesis::new(shape, Scale::RmsA(rms_a)).waveform().unwrap()
}

fn read(sheet: Sheet, waveform: &Waveform) -> SimulatedReading {
    Simulation::new(sheet, 60.0).unwrap().read_waveform(waveform).unwrap()
}

fn percent(reading: &SimulatedReading) -> f64 {
    100.0 * reading.breakdown.total_error_ratio().unwrap()
}

fn phase_cut(delay_deg: f64) -> Shape {
    Shape::PhaseCut { delay_rad: delay_deg.to_radians() }
}

fn with_pole(corner_hz: f64) -> Sheet {
    Sheet { bandwidth: Bandwidth::Poles(vec![corner_hz]), ..Sheet::ideal(TRUE_RMS) }
}

fn one_range(full_scale_a: f64, resolution_a: f64) -> Ranges {
    Ranges { list: vec![Range { full_scale_a, resolution_a }], rule: RangeRule::AutoByReading }
}

/// A meter without faults shows what its law makes of the current; a wide bandwidth, a fine
/// converter and many digits come to the same.
#[test]
fn exact_a_faultless_meter_returns_the_ideal_law() {
    let third = vec![Harmonic { order: 3, ratio: 0.2, phase_rad: PI }];
    let shapes =
        [Shape::Sine, Shape::Square, phase_cut(120.0), Shape::HalfWave, Shape::Harmonics(third)];
    let crest = CrestCapability { at_full_scale: 10.0, cap: None, bands: Vec::new() };
    for shape in shapes {
        let waveform = current(shape, 6.6);
        for law in Detector::ALL {
            let want_a = law.read(&waveform.measures()).shown_a();
            let wide = Sheet {
                bandwidth: Bandwidth::Poles(vec![1e9]),
                ranges: one_range(10.0, 1e-10),
                crest: Some(crest.clone()),
                converter: Converter::Sampling {
                    bits: 32,
                    sample_rate_hz: 1e9,
                    window: Window::WholePeriods,
                },
                ..Sheet::ideal(law)
            };
            let got_a = read(Sheet::ideal(law), &waveform).shown().unwrap().shown_a();
            assert_relative(got_a, want_a, 1e-9, "nothing but rounding");
            let reading = read(wide, &waveform);
            let got_a = reading.breakdown.after_a(Cause::DetectorLaw);
            assert_relative(got_a, want_a, 1e-15, "the law itself");
            let error = reading.breakdown.error_a(Cause::Converter);
            assert_absolute(error / want_a, 0.0, 5e-9, "half a code of 32 bits over 200 A");
        }
    }
}

/// Mean square of rectangular pulses of height 1 behind one pole, from the exponentials between two
/// pulses; `sign` is that of a pulse against the one before.
fn pulse_square(duty: f64, pulses_hz: f64, corner_hz: f64, sign: f64) -> f64 {
    let (spacing_s, tau_s) = (1.0 / pulses_hz, 1.0 / (TAU * corner_hz));
    let on = (-duty * spacing_s / tau_s).exp();
    let off = (-(1.0 - duty) * spacing_s / tau_s).exp();
    // At the start of a pulse stands what was left of the pulse before.
    let start = sign * off * (1.0 - on) / (1.0 - sign * on * off);
    let gap = start - 1.0;
    let top = 1.0 + gap * on;
    let during = duty * spacing_s
        + 2.0 * gap * tau_s * (1.0 - on)
        + 0.5 * gap * gap * tau_s * (1.0 - on * on);
    (during + 0.5 * top * top * tau_s * (1.0 - off * off)) / spacing_s
}

/// Pulses behind one pole at 60 Hz: crest factor 2 behind 2 kHz, crest factor 3 behind 1 kHz.
///
/// The given −0.960 % and −4.39 % are for one pulse in a period, all of one sign, and a meter
/// calibrated at DC; ours was calibrated at 60 Hz, so its gain there is taken out before comparing.
/// Pulses of alternating sign come twice in a period, are half as long, and lose twice as much.
#[test]
fn exact_pulses_through_one_pole() {
    const N: usize = 72_000;
    for (crest, corner_hz, given) in [(2.0_f64, 2e3, "-0.960"), (3.0, 1e3, "-4.39")] {
        let duty = 1.0 / (crest * crest);
        let at_60_hz = 1.0 / (1.0 + (60.0_f64 / corner_hz).powi(2)).sqrt();
        let gain = |waveform: &Waveform| {
            let law = Detector::TrueRms(Coupling::Dc);
            let reading = read(Sheet { detector: law, ..with_pole(corner_hz) }, waveform);
            at_60_hz * (1.0 + reading.breakdown.error_ratio(Cause::Bandwidth).unwrap())
        };
        let reason = "folding of a jump on 72000 samples";
        // 72000 is divisible by 4 and by 9: the jump falls on a cell's edge.
        let on = (duty * N as f64).round() as usize;
        let one_sided = (0..N).map(|k| if k < on { 1.0 } else { 0.0 }).collect();
        let one_sided = Waveform::new(one_sided, N, 1.0 / (60.0 * N as f64)).unwrap();
        let got = gain(&one_sided);
        assert_relative(
            got,
            (pulse_square(duty, 60.0, corner_hz, 1.0) / duty).sqrt(),
            2e-6,
            reason,
        );
        agrees_as_printed(100.0 * (got - 1.0), given);

        let alternating = Synthesis {
            samples_per_period: N,
            ..Synthesis::new(Shape::Pulse { duty }, Scale::RmsA(6.6))
        };
        let got = gain(&alternating.waveform().unwrap());
        assert_relative(
            got,
            (pulse_square(duty, 120.0, corner_hz, -1.0) / duty).sqrt(),
            2e-6,
            reason,
        );
    }
}

/// Phase-cut current behind one pole, calibrated at 60 Hz: the table of our own derivation, two
/// digits as given there.
#[test]
fn exact_phase_cut_through_one_pole() {
    let rows = [
        (120.0, 400.0, "-9.0"),
        (120.0, 1e3, "-3.7"),
        (120.0, 2e3, "-1.8"),
        (90.0, 400.0, "-4.7"),
        (90.0, 1e3, "-1.9"),
        (90.0, 2e3, "-0.96"),
    ];
    for (delay_deg, corner_hz, given) in rows {
        let reading = read(with_pole(corner_hz), &current(phase_cut(delay_deg), 6.6));
        agrees_as_printed(percent(&reading), given);
    }
}

/// A clamp's high-pass moves the peak more than the RMS: phase-cut at 120 degrees, calibrated at 60 Hz.
#[test]
fn exact_low_cutoff_moves_the_crest_factor() {
    // The peak stands at a jump: half a cell of 72000 samples is 4e-5 of it.
    let synthesis = Synthesis {
        samples_per_period: 72_000,
        ..Synthesis::new(phase_cut(120.0), Scale::RmsA(6.6))
    };
    let waveform = synthesis.waveform().unwrap();
    let rows =
        [(None, "0.00", "2.770"), (Some(5.0), "0.16", "2.835"), (Some(10.0), "0.66", "2.896")];
    for (low_cutoff_hz, error, crest) in rows {
        let core = IronCore { rated_a: 100.0, class: None, low_cutoff_hz, saturation_peak_a: None };
        let sheet = Sheet { clamp: Clamp::IronCore(core), ..Sheet::ideal(TRUE_RMS) };
        let reading = read(sheet, &waveform);
        agrees_as_printed(100.0 * reading.breakdown.error_ratio(Cause::LowCutoff).unwrap(), error);
        agrees_as_printed(reading.crest_factor.unwrap(), crest);
    }
}

/// The droop of an integrator is the same high-pass: a sine of 50 Hz on a meter calibrated at 60 Hz
/// reads |H(50)| / |H(60)|, |H| = 1/√(1 + (f_c/f)²).
#[test]
fn exact_droop_between_two_mains_frequencies() {
    let coil = FlexibleCoil { droop_hz: 10.0, noise_rms_a: 0.0 };
    let sheet = Sheet {
        clamp: Clamp::FlexibleCoil(coil),
        calibrated_hz: Some(60.0),
        ..Sheet::ideal(TRUE_RMS)
    };
    let sine = Synthesis { frequency_hz: 50.0, ..Synthesis::new(Shape::Sine, Scale::RmsA(6.6)) };
    let reading = read(sheet, &sine.waveform().unwrap());
    let gain = |f: f64| 1.0 / (1.0 + (10.0 / f) * (10.0 / f)).sqrt();
    let got = 1.0 + reading.breakdown.total_error_ratio().unwrap();
    assert_relative(got, gain(50.0) / gain(60.0), 1e-12, "one line, rounding only");
}

/// A table of frequencies: the third harmonic of a current whose table says −10 % there.
#[test]
fn exact_table_of_frequencies() {
    use loopcrest::meter::FrequencyError;
    let line = |frequency_hz, error_ratio| FrequencyError { frequency_hz, error_ratio };
    let table = Bandwidth::Table(vec![line(60.0, 0.0), line(180.0, -0.1), line(1e4, -0.5)]);
    let h: f64 = 0.3;
    let third = Harmonic { order: 3, ratio: h, phase_rad: 1.0 };
    let waveform = current(Shape::Harmonics(vec![third]), 6.6);
    let sheet = Sheet { bandwidth: table, ..Sheet::ideal(TRUE_RMS) };
    let want = ((1.0 + 0.81 * h * h) / (1.0 + h * h)).sqrt();
    let got = 1.0 + read(sheet, &waveform).breakdown.error_ratio(Cause::Bandwidth).unwrap();
    assert_relative(got, want, 1e-12, "two lines, rounding only");
}

fn with_window(cycles: f64) -> Sheet {
    let window = Window::Free { length_s: cycles / 60.0 };
    Sheet {
        converter: Converter::Sampling { bits: 24, sample_rate_hz: 50e3, window },
        ..Sheet::ideal(TRUE_RMS)
    }
}

/// The mean square of a sine over N cycles that are a quarter more than whole is off by ±1/(2πN) at
/// worst; no window of about that length is off by more than the bound 1/(4πN) of the RMS: 0.796 %
/// for ten cycles (closed form).
#[test]
fn exact_window_of_a_sine() {
    let sine = current(Shape::Sine, 6.6);
    for (cycles, printed) in [(10.0, "0.796"), (12.0, "0.66"), (3.0, "2.7")] {
        agrees_as_printed(100.0 / (4.0 * PI * cycles), printed);
        let n = cycles + 0.25;
        let (low_a, high_a) = read(with_window(n), &sine).window_span_a.unwrap();
        let worst = |sign: f64| (1.0 + sign / (2.0 * PI * n)).sqrt();
        let reason = "edges of cells as beginnings: (π/N)² of the deviation on 7200 samples";
        assert_relative(high_a / 6.6, worst(1.0), 1e-7, reason);
        assert_relative(low_a / 6.6, worst(-1.0), 1e-7, reason);
        assert!(high_a / 6.6 - 1.0 < 1.0 / (4.0 * PI * cycles), "within the bound");
    }
    let (low_a, high_a) = read(with_window(10.0), &sine).window_span_a.unwrap();
    assert_absolute(high_a - low_a, 0.0, 1e-9, "ten whole cycles are no window error");
}

/// The window that begins at a phase φ: mean square 1/2 [1 − (sin(2ωT + 2φ) − sin 2φ)/(2ωT)].
#[test]
fn exact_window_at_a_phase() {
    let sine = current(Shape::Sine, 1.0);
    let signal = Signal::of(&sine);
    let n: f64 = 3.4;
    for phase_rad in [0.0, 0.7, 2.0, 5.5] {
        let meter = Simulation::new(with_window(n), 60.0).unwrap();
        let reading = meter.read(&signal, WindowStart::At { phase_rad }).unwrap();
        let angle = TAU * n;
        let square =
            1.0 - ((2.0 * (angle + phase_rad)).sin() - (2.0 * phase_rad).sin()) / (2.0 * angle);
        let got = reading.breakdown.after_a(Cause::Window);
        assert_relative(got, square.sqrt(), 1e-6, "cells cut at both ends, (π/N)² on 7200 samples");
    }
}

/// 6.6 A of crest factor 3 has a peak of 19.8 A: a range of 10 A rated for 1.5 at full scale clips at
/// 15 A, the range of 20 A of a meter rated for a sine does not (28.3 A).
#[test]
fn exact_crest_limit_of_two_ranges() {
    let pulse = current(Shape::Pulse { duty: 1.0 / 9.0 }, 6.6);
    assert_relative(pulse.measures().dc.peak_a, 19.8, 1e-12, "crest factor 3");
    let on = |full_scale_a, at_full_scale| Sheet {
        ranges: one_range(full_scale_a, 1e-6),
        crest: Some(CrestCapability { at_full_scale, cap: None, bands: Vec::new() }),
        ..Sheet::ideal(TRUE_RMS)
    };
    let clipped = read(on(10.0, 1.5), &pulse);
    assert_relative(clipped.clipped_share_ratio, 1.0 / 9.0, 1e-12, "the whole pulse");
    let want = 15.0 / 19.8 - 1.0;
    let got = clipped.breakdown.error_ratio(Cause::CrestLimit).unwrap();
    assert_relative(got, want, 1e-12, "the pulse is cut from 19.8 A to 15 A");
    assert!(clipped.notes.iter().any(|note| note.code == "clipped"));
    let whole = read(on(20.0, SQRT_2), &pulse);
    assert_eq!(whole.clipped_share_ratio, 0.0);
    assert_relative(whole.allowed_crest_factor.unwrap(), SQRT_2 * 20.0 / 6.6, 1e-9, "28.3 A");
    assert!(whole.notes.iter().all(|note| note.code != "clipped"));
}

/// A sine clipped by its clamp at half of its peak: the closed form of the clipped sine's RMS.
#[test]
fn exact_saturating_clamp_clips_a_sine() {
    let hall = Hall { offset_a: 0.0, noise_rms_a: 0.0, saturation_peak_a: Some(0.5) };
    let sheet = Sheet { clamp: Clamp::Hall(hall), ..Sheet::ideal(TRUE_RMS) };
    let sine = current(Shape::Sine, FRAC_1_SQRT_2);
    let knee = PI / 6.0;
    let square = (2.0 / PI) * (0.5 * (knee - 0.5 * (2.0 * knee).sin()) + 0.25 * (0.5 * PI - knee));
    let got = read(sheet, &sine).breakdown.after_a(Cause::CrestLimit);
    assert_relative(got, square.sqrt(), 1e-6, "the knee falls inside a cell of 7200");
}

/// Offset and noise of a Hall clamp on a meter that takes the mean: √(I² + offset² + noise²) of a sine.
#[test]
fn exact_offset_and_noise_add_in_squares() {
    let hall = Hall { offset_a: 0.3, noise_rms_a: 0.4, saturation_peak_a: None };
    let law = Detector::TrueRms(Coupling::Dc);
    let sheet = Sheet { clamp: Clamp::Hall(hall), ..Sheet::ideal(law) };
    let got = read(sheet, &current(Shape::Sine, 1.2)).breakdown.after_a(Cause::OffsetAndNoise);
    assert_relative(got, 1.3, 1e-12, "1.2² + 0.3² + 0.4² = 1.3²");
}

/// The mean magnitude of noise alone is σ √(2/π) (closed form); an average meter shows it.
#[test]
fn exact_noise_on_an_average_meter() {
    let hall = Hall { offset_a: 0.0, noise_rms_a: 0.4, saturation_peak_a: None };
    let law = Detector::AverageResponding(Coupling::Dc);
    let sheet = Sheet { clamp: Clamp::Hall(hall), ..Sheet::ideal(law) };
    let nothing = Waveform::new(vec![0.0; 64], 64, 1.0 / (60.0 * 64.0)).unwrap();
    let got = read(sheet, &nothing).breakdown.after_a(Cause::OffsetAndNoise);
    let want = Detector::AVERAGE_SCALE * 0.4 * (2.0 / PI).sqrt();
    assert_relative(got, want, 1e-12, "closed form");
}

/// The last digit: 6.6049 A reads 6.60 in steps of 10 mA, and too much for a range is no number.
#[test]
fn exact_digits_and_overload() {
    let on = |full_scale_a, resolution_a| Sheet {
        ranges: one_range(full_scale_a, resolution_a),
        ..Sheet::ideal(TRUE_RMS)
    };
    let sine = current(Shape::Sine, 6.6049);
    let reading = read(on(10.0, 0.01), &sine);
    assert_eq!(reading.shown().unwrap().shown_a(), 6.6, "the very number, not one near it");
    let error = reading.breakdown.error_a(Cause::Resolution);
    assert_absolute(error, -0.0049, 1e-12, "rounding of the current's RMS");
    let reading = read(on(6.0, 0.01), &sine);
    assert_eq!(reading.display, Display::Overload);
    assert!(reading.notes.iter().any(|note| note.code == "overload"));
}

/// Few bits turn a sine into stairs: with codes as far apart as its peak, what is above half of the
/// peak becomes the peak, the rest nothing: mean square 2/3 of the peak's (closed form).
#[test]
fn exact_codes_as_wide_as_the_peak() {
    // 2 · limit / 2⁴ = 1 A.
    let crest = CrestCapability { at_full_scale: 1.0, cap: None, bands: Vec::new() };
    let sheet = Sheet {
        ranges: one_range(8.0, 1e-9),
        crest: Some(crest),
        converter: Converter::Sampling {
            bits: 4,
            sample_rate_hz: 1e6,
            window: Window::WholePeriods,
        },
        ..Sheet::ideal(TRUE_RMS)
    };
    let sine = Synthesis::new(Shape::Sine, Scale::PeakA(1.0)).waveform().unwrap();
    let got = read(sheet, &sine).breakdown.after_a(Cause::Converter);
    assert_relative(got, (2.0_f64 / 3.0).sqrt(), 1e-12, "the edge at 30 degrees is a cell's edge");
}
