use rayon::prelude::*;

use crate::error::{Error, Note, Result};

use super::{Timing, TimingSource};

/// Samples on a time axis with gaps: 2 GiB.
const MOST_SAMPLES: usize = 1 << 28;
/// Stamps looked at by one thread at a time: as many as a narrow counter counts.
const ROWS_AT_A_TIME: usize = 1 + u16::MAX as usize;
/// A stamp may be this part of a step away from where its row puts it.
const ON_GRID_STEPS: f64 = 0.3;
/// A rate this close to a round number is that number: the accuracy of an ordinary quartz clock,
/// common practice, no source.
const QUARTZ_RATIO: f64 = 50e-6;
/// A stamp more than this many average steps after its neighbour may hide lost samples.
const DROPOUT_STEPS: f64 = 20.0;

/// A rate, and the sample each row belongs to when the stamps say that rows were left out.
#[derive(Debug)]
pub(super) struct Axis {
    pub(super) timing: Timing,
    /// Place on the time axis of each row; `None` when that is the row itself.
    pub(super) places: Option<Vec<Option<usize>>>,
    pub(super) notes: Vec<Note>,
}

/// What time stamps in seconds (NaN where a row has none) say about the sample rate.
///
/// # Errors
/// `Inconsistent` when there are fewer than two stamps, they do not advance, or the rows they say
/// are missing would be more than `max_missing_rows`.
pub(super) fn axis(stamps_s: &[f64], max_missing_rows: usize) -> Result<Axis> {
    let known = || stamps_s.iter().copied().enumerate().filter(|(_, t_s)| t_s.is_finite());
    let (Some((first_row, first_s)), Some((last_row, last_s))) =
        (known().next(), known().next_back())
    else {
        return Err(Error::inconsistent("the time column holds no time"));
    };
    let span_s = last_s - first_s;
    if last_row == first_row {
        return Err(Error::inconsistent("one sample only: no rate and no period can be found"));
    }
    if !(span_s > 0.0 && span_s.is_finite()) {
        return Err(Error::inconsistent("the time column does not advance from first to last row")
            .with_hint("choose another time column, or none and give the sample rate"));
    }
    let step_s = span_s / (last_row - first_row) as f64;
    let even = all_on_grid(stamps_s, (first_row, first_s), step_s);
    let mut notes = Vec::new();
    if even {
        let timing = even_timing(step_s, first_s - first_row as f64 * step_s, &mut notes);
        return Ok(Axis { timing, places: None, notes });
    }
    let known: Vec<(usize, f64)> = known().collect();
    if let Some((places, steps)) = places(stamps_s, &known, max_missing_rows)? {
        let step_s = span_s / steps as f64;
        let timing = even_timing(step_s, first_s, &mut notes);
        notes.push(Note::new(
            "rows-placed-by-time",
            "the time column skips or the file holds extra lines: every row was put where its time stamp says, what is missing stays a gap",
        ));
        return Ok(Axis { timing, places: Some(places), notes });
    }
    let coarse = coarse(&known, step_s, first_s - first_row as f64 * step_s, &mut notes);
    Ok(Axis { timing: coarse, places: None, notes })
}

/// Whether every known stamp is where its row puts it, counted in steps from the first one.
fn all_on_grid(stamps_s: &[f64], (first_row, first_s): (usize, f64), step_s: f64) -> bool {
    stamps_s.par_chunks(ROWS_AT_A_TIME).enumerate().all(|(chunk, stamps_s)| {
        let before = (chunk * ROWS_AT_A_TIME) as f64 - first_row as f64;
        // Without a way out in the middle, and with narrow counters, the processor takes several at once.
        let on_grid = |(row, t_s): (u16, &f64)| {
            let off = (t_s - first_s) / step_s - (before + f64::from(row));
            (off.abs() <= ON_GRID_STEPS) | !t_s.is_finite()
        };
        (0..=u16::MAX).zip(stamps_s).map(on_grid).fold(true, |all, this| all & this)
    })
}

/// The rate of even stamps, set to a round number of samples per second or of time per sample when
/// it is within a quartz clock's accuracy of one.
fn even_timing(step_s: f64, first_time_s: f64, notes: &mut Vec<Note>) -> Timing {
    let stamped_hz = 1.0 / step_s;
    let candidates = [rounded(stamped_hz), 1.0 / rounded(step_s)];
    let round = candidates.into_iter().find(|hz| (stamped_hz / hz - 1.0).abs() <= QUARTZ_RATIO);
    let sample_rate_hz = round.unwrap_or(stamped_hz);
    let off_ratio = (stamped_hz / sample_rate_hz - 1.0).abs();
    if off_ratio > 1e-6 {
        notes.push(Note::new(
            "sample-rate-rounded",
            format!(
                "the time stamps give {stamped_hz:.3} samples per second; {sample_rate_hz} is used, which is within a quartz clock's accuracy"
            ),
        ));
    }
    Timing {
        sample_rate_hz,
        relative_standard_uncertainty_ratio: (off_ratio > 1e-6)
            .then(|| off_ratio.max(QUARTZ_RATIO) / 3.0_f64.sqrt()),
        first_time_s: Some(first_time_s),
        source: TimingSource::EvenStamps,
    }
}

/// Three significant digits.
fn rounded(value: f64) -> f64 {
    format!("{value:.2e}").parse().unwrap_or(value)
}

/// The place of each row when every stamp lies a whole number of steps after the one before, and
/// the number of steps from first to last.
fn places(
    stamps_s: &[f64],
    known: &[(usize, f64)],
    max_missing_rows: usize,
) -> Result<Option<(Vec<Option<usize>>, usize)>> {
    let mut steps_s: Vec<f64> = known.windows(2).map(|pair| pair[1].1 - pair[0].1).collect();
    steps_s.sort_by(f64::total_cmp);
    let step_s = steps_s[steps_s.len() / 2];
    if step_s <= 0.0 {
        return Ok(None);
    }
    let most = stamps_s.len().saturating_add(max_missing_rows).min(MOST_SAMPLES);
    let mut places = vec![None; stamps_s.len()];
    let mut at = 0_usize;
    places[known[0].0] = Some(0);
    for pair in known.windows(2) {
        let steps = (pair[1].1 - pair[0].1) / step_s;
        let whole = steps.round();
        if whole < 1.0 || (steps - whole).abs() > ON_GRID_STEPS {
            return Ok(None);
        }
        if whole + at as f64 > most as f64 {
            return Err(Error::inconsistent(format!(
                "the time column jumps by {:.6} s at row {}: more than {max_missing_rows} rows would be missing",
                pair[1].1 - pair[0].1,
                pair[1].0 + 1
            ))
            .with_hint("choose another time column, or none and give the sample rate"));
        }
        at += whole as usize;
        places[pair[1].0] = Some(at);
    }
    Ok(Some((places, at)))
}

/// The rate from count and span, for stamps that are rounded or mark the arrival of whole packets.
fn coarse(known: &[(usize, f64)], step_s: f64, first_time_s: f64, notes: &mut Vec<Note>) -> Timing {
    let largest_s = known.windows(2).map(|pair| pair[1].1 - pair[0].1).fold(0.0, f64::max);
    let equal = known.windows(2).filter(|pair| pair[1].1 - pair[0].1 <= 0.0).count();
    let span_s = known[known.len() - 1].1 - known[0].1;
    // Either end may be wrong by up to the largest step, evenly spread.
    let uncertainty = largest_s / span_s * (2.0_f64 / 12.0).sqrt();
    let sample_rate_hz = 1.0 / step_s;
    notes.push(Note::new(
        "coarse-time-stamps",
        format!(
            "the time stamps are coarse or bunched ({equal} equal neighbours, largest step {largest_s:.3e} s): {sample_rate_hz:.3} samples per second follow from count and first and last stamp, standard uncertainty {:.2} %; give the sample rate if it is known",
            100.0 * uncertainty
        ),
    ));
    if largest_s > DROPOUT_STEPS * step_s {
        notes.push(Note::new(
            "dropout-suspected",
            format!(
                "one step of {largest_s:.3e} s is {:.0} average steps: samples may be lost there",
                largest_s / step_s
            ),
        ));
    }
    Timing {
        sample_rate_hz,
        relative_standard_uncertainty_ratio: Some(uncertainty),
        first_time_s: Some(first_time_s),
        source: TimingSource::FirstAndLastStamp,
    }
}
