//! The chain from the conductor to the digits, in the order of [`Cause::ALL`](super::Cause::ALL).

use std::borrow::Cow;

use crate::error::{Error, Result};
use crate::meter::{Detector, Indication, Reading, Sheet};
use crate::waveform::Coupling;

use super::front_end::{FrontEnd, coupling};
use super::sums::Sums;
use super::{Breakdown, Conditions, Display, ErrorLimits, Signal, SimulatedReading, WindowStart};
use super::{digits, doubts, windowing};

/// Samples on their way to the detector, with the sums its law needs.
pub(super) struct Arrived<'a> {
    pub(super) samples_a: Cow<'a, [f64]>,
    pub(super) sums: Sums,
    /// What noise adds to the sums.
    pub(super) noise: Sums,
}

impl<'a> Arrived<'a> {
    fn new(samples_a: Cow<'a, [f64]>) -> Self {
        let sums = Sums::of(&samples_a);
        Self { samples_a, sums, noise: Sums::default() }
    }

    pub(super) fn read_a(&self, law: Detector) -> f64 {
        self.sums.with(&self.noise).read_a(law)
    }
}

pub(super) fn read(
    sheet: &Sheet,
    front_end: &FrontEnd,
    signal: &Signal<'_>,
    start: WindowStart,
    ambient_degc: Option<f64>,
) -> Result<SimulatedReading> {
    let law = sheet.detector;
    let by_law_a = law.read(&signal.measures).shown_a();
    let after_low_a = after_low(law, front_end, signal)?.unwrap_or(by_law_a);
    let mut arrived = Arrived::new(through_front_end(sheet, front_end, signal)?);
    let after_band_a = if front_end.whole.is_some() { arrived.read_a(law) } else { after_low_a };
    let after_noise_a =
        if add_offset_and_noise(sheet, &mut arrived) { arrived.read_a(law) } else { after_band_a };

    let range = *sheet
        .ranges
        .choose(after_noise_a, arrived.sums.peak_a, sheet.crest.as_ref())
        .ok_or_else(|| Error::inconsistent("the meter has no range"))?;
    let crest_factor = crest_factor(&arrived.sums);
    let clipped_share_ratio = clip(&mut arrived, sheet.peak_limit_a(&range));
    let after_clip_a = if clipped_share_ratio > 0.0 { arrived.read_a(law) } else { after_noise_a };

    let window = windowing::of(sheet, signal, &arrived, start);
    let after_window_a = window.chosen_a.unwrap_or(after_clip_a);
    let after_codes_a =
        digits::converted_a(sheet, &range, signal, &arrived, &window).unwrap_or(after_window_a);
    let shown_a = digits::rounded_a(after_codes_a, range.resolution_a);

    let display = if shown_a > range.full_scale_a + 0.5 * range.resolution_a {
        Display::Overload
    } else {
        Display::Number(Reading::new(law.indication(), shown_a))
    };
    let after_a = [
        by_law_a,
        after_low_a,
        after_band_a,
        after_noise_a,
        after_clip_a,
        after_window_a,
        after_codes_a,
        shown_a,
    ];
    let conditions = Conditions {
        reading_a: shown_a,
        crest_factor,
        frequency_hz: signal.waveform.frequency_hz(),
        ambient_degc,
    };
    let mut reading = SimulatedReading {
        display,
        breakdown: Breakdown::new(signal.measures.dc.rms_a, after_a),
        range,
        crest_factor,
        allowed_crest_factor: sheet.crest.as_ref().map(|crest| crest.allowed(&range, shown_a)),
        clipped_share_ratio,
        window_span_a: window.span_a,
        limits: ErrorLimits::at(sheet, &range, &conditions),
        notes: Vec::new(),
    };
    reading.notes = doubts::of(sheet, signal, &reading);
    Ok(reading)
}

/// The reading behind the clamp's high-pass alone; `None` when it changes nothing.
fn after_low(law: Detector, front_end: &FrontEnd, signal: &Signal<'_>) -> Result<Option<f64>> {
    let Some(low) = &front_end.low else { return Ok(None) };
    if law.indication() == Indication::TrueRms {
        // Parseval saves the way back into the time domain.
        return Ok(Some(signal.transform.filtered_square_a2(low)?.sqrt()));
    }
    Ok(Some(Sums::of(&signal.transform.filtered_a(low)?).read_a(law)))
}

fn through_front_end<'a>(
    sheet: &Sheet,
    front_end: &FrontEnd,
    signal: &'a Signal<'_>,
) -> Result<Cow<'a, [f64]>> {
    if let Some(gains) = front_end.whole.as_ref().or(front_end.low.as_ref()) {
        return Ok(Cow::Owned(signal.transform.filtered_a(gains)?));
    }
    let samples_a = signal.waveform.samples_a();
    let mean_a = signal.measures.mean_a;
    if coupling(sheet) == Coupling::Dc || mean_a.abs() <= 0.0 {
        return Ok(Cow::Borrowed(samples_a));
    }
    Ok(Cow::Owned(samples_a.iter().map(|i_a| i_a - mean_a).collect()))
}

/// Whether the clamp adds anything.
fn add_offset_and_noise(sheet: &Sheet, arrived: &mut Arrived<'_>) -> bool {
    let sigma_a = sheet.clamp.noise_rms_a();
    // A detector that removes the mean removes the offset with it.
    let offset_a = if coupling(sheet) == Coupling::Dc { sheet.clamp.offset_a() } else { 0.0 };
    if offset_a.abs() > 0.0 {
        arrived.samples_a.to_mut().iter_mut().for_each(|i_a| *i_a += offset_a);
        arrived.sums = Sums::of(&arrived.samples_a);
    }
    arrived.noise = Sums::of_noise(&arrived.samples_a, sigma_a, sheet.detector);
    offset_a.abs() > 0.0 || sigma_a > 0.0
}

fn crest_factor(sums: &Sums) -> Option<f64> {
    let rms_a = sums.square_a2.sqrt();
    (rms_a > f64::MIN_POSITIVE).then(|| sums.peak_a / rms_a)
}

/// Clips the samples and returns the share of them that was.
fn clip(arrived: &mut Arrived<'_>, limit_a: Option<f64>) -> f64 {
    let Some(limit_a) = limit_a.filter(|limit_a| arrived.sums.peak_a > *limit_a) else {
        return 0.0;
    };
    let samples_a = arrived.samples_a.to_mut();
    let mut clipped = 0_usize;
    for i_a in samples_a.iter_mut() {
        if i_a.abs() > limit_a {
            clipped += 1;
            *i_a = limit_a.copysign(*i_a);
        }
    }
    let share_ratio = clipped as f64 / samples_a.len() as f64;
    arrived.sums = Sums::of(samples_a);
    share_ratio
}
