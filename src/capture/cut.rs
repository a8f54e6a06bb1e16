use std::ops::Range;

use crate::error::{Bounds, Error, Note, Noted, Result};
use crate::waveform::Waveform;

use super::drift::wander_ratio;
use super::frequency::{Fundamental, guess_hz, refine};
use super::resample::{Grid, HALF_TAPS, resample};
use super::samples::LIST_OF_READINGS;
use super::steady::{Steadiness, cycle_rms, longest_steady};
use super::{CutOptions, Samples};

/// Where a mains frequency may be looked for.
const FREQUENCY_HZ: Bounds = Bounds::new("mains frequency", "Hz", 1.0, 1e5);
/// Spread that may count as steady.
const STEADY_RATIO: Bounds = Bounds::new("steady ratio", "", 0.0, 1.0);
/// Fewest samples in a period: a frequency needs more than two, a shape far more.
const FEWEST_SAMPLES_PER_PERIOD: f64 = 4.0;
/// Below this many samples per period a peak between two samples is uncertain.
const GOOD_SAMPLES_PER_PERIOD: f64 = 32.0;
/// Samples per period of the result, unless the record has more.
const SAMPLES_PER_PERIOD: usize = 1024;
/// Samples of the result beyond which it gets fewer per period.
const MOST_SAMPLES: usize = 1 << 24;
/// Periods needed to find a frequency.
const FEWEST_PERIODS: f64 = 2.0;
/// Part of the alternating power that is periodic in an ordinary current.
const PERIODIC_RATIO: f64 = 0.9;
/// Farther than this from 50 and from 60 Hz no public mains stays for long; our own choice.
const USUAL_WITHIN_HZ: f64 = 2.0;
/// A fundamental that wanders by more than this part of a period blurs the higher harmonics.
const WANDER_RATIO: f64 = 0.01;

/// Whole mains periods cut from a record, and where they came from.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// The periods on a uniform grid, in amperes.
    pub waveform: Waveform,
    /// Mains frequency: found in the samples, or the caller's.
    pub frequency_hz: f64,
    /// Standard uncertainty of the frequency: noise in the samples (as white noise) and the sample
    /// rate's where the file shows one; drift of the mains and the clock's own error are not in it.
    /// `None` when the caller gave the frequency.
    pub frequency_standard_uncertainty_hz: Option<f64>,
    /// Samples of the record that were looked at.
    pub region: Range<usize>,
    /// Sample of the record where the first period begins.
    pub first_sample: usize,
    /// Number of whole periods.
    pub cycles: usize,
    /// Length of one period, in samples of the record.
    pub period_samples: f64,
    /// Part of the alternating power that repeats from period to period; the rest is noise,
    /// change and interharmonics.
    pub periodic_ratio: f64,
}

pub(super) fn cut(samples: &Samples, options: &CutOptions) -> Result<Noted<Cut>> {
    let (low_hz, high_hz) = (options.min_frequency_hz, options.max_frequency_hz);
    FREQUENCY_HZ.check(low_hz)?;
    FREQUENCY_HZ.check(high_hz)?;
    STEADY_RATIO.check(options.steady_ratio)?;
    if low_hz >= high_hz {
        return Err(Error::inconsistent(format!(
            "the frequency range {low_hz} to {high_hz} Hz is empty"
        )));
    }
    options.frequency_hz.map(|hz| FREQUENCY_HZ.check(hz)).transpose()?;
    let range_hz = low_hz..=high_hz;
    let rate_hz = samples.sample_rate_hz();
    let mut notes = Vec::new();
    let (clear, look_for_steady) = samples.clear_stretch(&options.stretch, &mut notes)?;
    let all_a = samples.raw_a();
    fast_enough(rate_hz, options.frequency_hz.unwrap_or(low_hz))?;
    // Too short even for the highest frequency; the found one is checked again below.
    enough(&clear, rate_hz, options.frequency_hz.unwrap_or(high_hz), options.frequency_hz)?;

    let start_hz = match options.frequency_hz {
        Some(hz) => hz,
        None => guess_hz(&all_a[clear.clone()], rate_hz, &range_hz)?,
    };
    let period = rate_hz / start_hz;
    if period < FEWEST_SAMPLES_PER_PERIOD {
        return Err(Error::inconsistent(format!(
            "only {period:.1} samples in a period of {start_hz:.1} Hz: the rate is too low"
        )));
    }
    let region =
        steady_region(&all_a[clear.clone()], &clear, period, look_for_steady, options, &mut notes);
    enough(&region, rate_hz, start_hz, options.frequency_hz)?;
    let found = refine(
        &all_a[region.clone()],
        rate_hz,
        start_hz,
        options.frequency_hz.is_some(),
        &range_hz,
    )?;
    assemble(samples, &clear, region, &found, options, notes)
}

/// Refuses rates at which not even the slowest mains frequency looked for can be seen.
fn fast_enough(rate_hz: f64, lowest_hz: f64) -> Result<()> {
    if rate_hz >= FEWEST_SAMPLES_PER_PERIOD * lowest_hz {
        return Ok(());
    }
    let error = Error::inconsistent(format!(
        "{rate_hz} samples per second are too few to see a current of {lowest_hz} Hz or more"
    ));
    // Fewer samples than periods: nobody records a waveform like that.
    Err(if rate_hz < lowest_hz { error.with_hint(LIST_OF_READINGS) } else { error })
}

/// Refuses stretches in which no period can be found.
fn enough(range: &Range<usize>, rate_hz: f64, frequency_hz: f64, given: Option<f64>) -> Result<()> {
    let seconds = range.len().saturating_sub(1) as f64 / rate_hz;
    let periods = seconds * frequency_hz;
    let needed = if given.is_some() { 1.0 } else { FEWEST_PERIODS };
    if range.len() >= 8 && periods >= needed * (1.0 - 1e-9) {
        return Ok(());
    }
    let what = match range.len() {
        0 => "there is no sample".to_owned(),
        1 => "there is one sample only".to_owned(),
        n => format!(
            "{n} samples without a gap, {seconds:.6} s, hold {periods:.2} periods of {frequency_hz:.1} Hz"
        ),
    };
    Err(Error::inconsistent(format!("{what}; {needed} or more are needed"))
        .with_hint("record longer; with the frequency given, one period is enough"))
}

fn steady_region(
    clear_a: &[f64],
    clear: &Range<usize>,
    period_samples: f64,
    look_for_steady: bool,
    options: &CutOptions,
    notes: &mut Vec<Note>,
) -> Range<usize> {
    let steadiness = longest_steady(clear_a, period_samples, options.steady_ratio);
    let percent = 100.0 * options.steady_ratio;
    match (steadiness, look_for_steady) {
        (Steadiness::Throughout, _) => clear.clone(),
        (Steadiness::Part(part), true) => {
            let region = clear.start + part.start..clear.start + part.end;
            notes.push(Note::new(
                "steady-part",
                format!(
                    "the current is not steady throughout; the longest stretch with single periods within {percent} % is used: samples {} to {} of {}",
                    region.start,
                    region.end - 1,
                    clear.len()
                ),
            ));
            region
        }
        (Steadiness::Part(_) | Steadiness::Nowhere, _) => {
            notes.push(Note::new(
                "not-steady",
                format!(
                    "the RMS of single periods differs by more than {percent} % within the stretch"
                ),
            ));
            clear.clone()
        }
    }
}

fn assemble(
    samples: &Samples,
    clear: &Range<usize>,
    region: Range<usize>,
    found: &Fundamental,
    options: &CutOptions,
    mut notes: Vec<Note>,
) -> Result<Noted<Cut>> {
    let rate_hz = samples.sample_rate_hz();
    let period_samples = rate_hz / found.frequency_hz;
    let cycles = ((region.len() - 1) as f64 / period_samples + 1e-6).floor() as usize;
    if cycles == 0 {
        return Err(Error::inconsistent("the stretch is shorter than one period"));
    }
    // Real neighbours outside the region serve the interpolation, as far as there is no gap.
    let context = region.start.saturating_sub(HALF_TAPS).max(clear.start)
        ..(region.end + HALF_TAPS).min(clear.end);
    let samples_per_period = match options.samples_per_period {
        Some(n) => {
            Waveform::SAMPLES_PER_PERIOD.check(n as f64)?;
            Bounds::new("samples of the result", "", 1.0, f64::from(1 << 28))
                .check(n as f64 * cycles as f64)?;
            n
        }
        None => grid_size(period_samples, cycles),
    };
    let grid = Grid {
        start: (region.start - context.start) as f64,
        period_samples,
        cycles,
        samples_per_period,
    };
    let context_a = &samples.raw_a()[context.clone()];
    let resampled_a = resample(context_a, &found.fit, region.start - context.start, &grid);
    let interval_s = 1.0 / (found.frequency_hz * samples_per_period as f64);
    // What stands above half of the record's own rate is residue of the interpolation.
    let highest_order = ((0.5 * period_samples).ceil() as usize).saturating_sub(1);
    let waveform = Waveform::new(resampled_a, samples_per_period, interval_s)?
        .with_highest_order(highest_order);

    if options.frequency_hz.is_none() {
        notes.extend(unusual(found.frequency_hz));
    }
    let sums = cycle_rms(&samples.raw_a()[region.clone()], period_samples);
    quality_notes(&samples.raw_a()[region.clone()], period_samples, found, &sums, &mut notes);
    let cut = Cut {
        waveform,
        frequency_hz: found.frequency_hz,
        frequency_standard_uncertainty_hz: found.standard_uncertainty_hz.map(|noise_hz| {
            let rate = samples.rate_relative_standard_uncertainty_ratio().unwrap_or(0.0);
            noise_hz.hypot(rate * found.frequency_hz)
        }),
        first_sample: region.start,
        region,
        cycles,
        period_samples,
        periodic_ratio: found.periodic_ratio,
    };
    Ok(Noted { value: cut, notes })
}

/// A power of two, at least 1024 and at least the record's own; smaller for very long records.
fn grid_size(period_samples: f64, cycles: usize) -> usize {
    let own = (period_samples.ceil() as usize).next_power_of_two();
    let mut size = own.max(SAMPLES_PER_PERIOD);
    while size.saturating_mul(cycles) > MOST_SAMPLES && size > own.max(64) {
        size /= 2;
    }
    size
}

fn quality_notes(
    region_a: &[f64],
    period_samples: f64,
    found: &Fundamental,
    cycle_rms_a: &[f64],
    notes: &mut Vec<Note>,
) {
    if period_samples < GOOD_SAMPLES_PER_PERIOD {
        notes.push(Note::new(
            "few-samples-per-period",
            format!("only {period_samples:.1} samples per period: peaks between samples and harmonics beyond order {:.0} are not seen", (period_samples / 2.0).floor()),
        ));
    }
    if found.periodic_ratio < PERIODIC_RATIO {
        notes.push(Note::new(
            "weakly-periodic",
            format!(
                "only {:.0} % of the alternating power repeats from period to period",
                100.0 * found.periodic_ratio
            ),
        ));
    }
    let wander = wander_ratio(region_a, std::f64::consts::TAU / period_samples).unwrap_or(0.0);
    if wander > WANDER_RATIO && found.periodic_ratio >= PERIODIC_RATIO {
        notes.push(Note::new(
            "frequency-moves",
            format!("the mains frequency moves within the stretch: the fundamental wanders by {:.1} % of a period; RMS and rectified mean do not mind, high harmonics look smaller than they are; a shorter stretch helps", 100.0 * wander),
        ));
    }
    if cycle_rms_a.len() < 10 {
        notes.push(Note::new("few-periods", format!("{} whole periods only", cycle_rms_a.len())));
    }
    let flat = flat_tops(region_a);
    if flat > cycle_rms_a.len().max(2) {
        notes.push(Note::new(
            "clipping-suspected",
            format!("{flat} times three or more samples in a row stand at the largest or smallest value: the input may be clipped"),
        ));
    }
}

/// A frequency that no public mains has.
fn unusual(frequency_hz: f64) -> Option<Note> {
    let off_hz = |mains_hz: f64| (frequency_hz - mains_hz).abs();
    (off_hz(50.0).min(off_hz(60.0)) > USUAL_WITHIN_HZ).then(|| {
        Note::new(
            "unusual-frequency",
            format!("{frequency_hz:.2} Hz is neither 50 nor 60 Hz: is the sample rate right, or does a generator feed the regulator?"),
        )
    })
}

/// Runs of three or more equal samples at the largest or smallest value.
fn flat_tops(region_a: &[f64]) -> usize {
    let top = region_a.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let low = region_a.iter().copied().fold(f64::INFINITY, f64::min);
    let (mut runs, mut length) = (0, 0);
    for i_a in region_a {
        if *i_a >= top || *i_a <= low {
            length += 1;
            runs += usize::from(length == 3);
        } else {
            length = 0;
        }
    }
    runs
}
