use std::collections::VecDeque;
use std::ops::Range;

/// A cycle counts as carrying current from this part of the largest cycle's RMS on.
const FLOWING_RATIO: f64 = 0.02;
/// A steady run must have this many cycles, unless the whole record is shorter.
const FEWEST_CYCLES: usize = 4;

/// What the RMS of single cycles says about a stretch.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Steadiness {
    /// Steady from end to end, or too short to tell.
    Throughout,
    /// Steady in this part only, given in samples of the stretch.
    Part(Range<usize>),
    /// Nowhere steady for long enough.
    Nowhere,
}

/// The longest run of cycles whose RMS stays within `ratio` of the largest.
///
/// The cycle next to an unsteady one is left out: a transient that ends in it may still be below the
/// limit. Runs without current (before switching on) do not count.
pub(super) fn longest_steady(samples: &[f64], period_samples: f64, ratio: f64) -> Steadiness {
    let rms = cycle_rms(samples, period_samples);
    let Some(largest) = rms.iter().copied().reduce(f64::max) else { return Steadiness::Throughout };
    let run = longest_run(&rms, ratio, FLOWING_RATIO * largest);
    if run.len() == rms.len() {
        return Steadiness::Throughout;
    }
    if run.len() < FEWEST_CYCLES {
        return Steadiness::Nowhere;
    }
    let mut first = run.start;
    let mut end = run.end;
    if run.len() >= FEWEST_CYCLES + 2 {
        first += usize::from(run.start > 0);
        end -= usize::from(run.end < rms.len());
    }
    let from = if first == 0 { 0 } else { (first as f64 * period_samples).ceil() as usize };
    let to = if end == rms.len() {
        samples.len()
    } else {
        ((end as f64 * period_samples).floor() as usize + 1).min(samples.len())
    };
    Steadiness::Part(from..to)
}

/// True RMS of consecutive cycles: trapezoids, linear at the broken ends.
pub(super) fn cycle_rms(samples: &[f64], period_samples: f64) -> Vec<f64> {
    if samples.is_empty() || period_samples < 2.0 {
        return Vec::new();
    }
    // Integral of the square from sample 0 to sample k.
    let mut integral = Vec::with_capacity(samples.len());
    let mut sum = 0.0;
    integral.push(sum);
    for pair in samples.windows(2) {
        sum += 0.5 * (pair[0] * pair[0] + pair[1] * pair[1]);
        integral.push(sum);
    }
    let up_to = |position: f64| {
        let k = (position as usize).min(samples.len() - 1);
        let part = position - k as f64;
        let here = samples[k];
        let there = samples.get(k + 1).map_or(here, |next| here + part * (next - here));
        integral[k] + 0.5 * part * (here * here + there * there)
    };
    let cycles = ((samples.len() - 1) as f64 / period_samples + 1e-6).floor() as usize;
    (0..cycles)
        .map(|c| {
            let from = c as f64 * period_samples;
            let area = up_to(from + period_samples) - up_to(from);
            (area.max(0.0) / period_samples).sqrt()
        })
        .collect()
}

/// The longest run with (max − min) ≤ ratio · max and nothing below `least`; the first of equals.
fn longest_run(values: &[f64], ratio: f64, least: f64) -> Range<usize> {
    let mut best = 0..0;
    let mut start = 0;
    // Places of the candidates for maximum and minimum of the run, best first.
    let (mut tops, mut lows) = (VecDeque::<usize>::new(), VecDeque::<usize>::new());
    for (at, value) in values.iter().enumerate() {
        if *value < least {
            start = at + 1;
            tops.clear();
            lows.clear();
            continue;
        }
        while tops.back().is_some_and(|k| values[*k] <= *value) {
            tops.pop_back();
        }
        while lows.back().is_some_and(|k| values[*k] >= *value) {
            lows.pop_back();
        }
        tops.push_back(at);
        lows.push_back(at);
        while let (Some(top), Some(low)) = (tops.front(), lows.front())
            && values[*top] - values[*low] > ratio * values[*top]
        {
            start += 1;
            if tops.front().is_some_and(|k| *k < start) {
                tops.pop_front();
            }
            if lows.front().is_some_and(|k| *k < start) {
                lows.pop_front();
            }
        }
        if at + 1 - start > best.len() {
            best = start..at + 1;
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_longest_run_of_a_list_told_by_hand() {
        let values = [0.0, 0.0, 0.0, 9.0, 4.0, 4.1, 4.05, 4.0, 3.0, 3.0];
        assert_eq!(longest_run(&values, 0.05, 0.1), 4..8, "4.0 to 4.1 is 2.4 % of 4.1");
        assert_eq!(longest_run(&values, 0.0, 0.1), 8..10, "only equal values: 3.0 and 3.0");
        assert_eq!(longest_run(&[], 0.05, 0.1), 0..0);
    }
}
