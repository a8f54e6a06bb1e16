//! Divisions at round numbers.

use super::Tick;
use super::numbers;

/// The step that gives about `count` divisions: 1, 2 or 5 times a power of ten.
fn round_step(span: f64, count: usize) -> f64 {
    let raw = span / count.max(1) as f64;
    let power = 10.0_f64.powf(raw.log10().floor());
    let times = [1.0, 2.0, 5.0, 10.0].into_iter().find(|times| raw <= times * power * 1.000_001);
    times.unwrap_or(10.0) * power
}

pub(super) fn round_ticks(from: f64, to: f64, count: usize) -> Vec<Tick> {
    let span = to - from;
    if !(span.is_finite() && span > 0.0) {
        return Vec::new();
    }
    let step = round_step(span, count);
    let decimals = (-step.log10().floor()).clamp(0.0, 9.0) as usize;
    // A hair of tolerance, so that an end that is a multiple of the step keeps its division.
    let first = (from / step - 1e-9).ceil() as i64;
    let last = (to / step + 1e-9).floor() as i64;
    (first..=last)
        .map(|k| {
            let at = k as f64 * step;
            Tick { at, text: numbers::plain(at, decimals), line: true }
        })
        .collect()
}

/// Divisions at given numbers.
pub(super) fn at(values: impl IntoIterator<Item = f64>, decimals: usize) -> Vec<Tick> {
    let tick = |at: f64| Tick { at, text: numbers::plain(at, decimals), line: true };
    values.into_iter().map(tick).collect()
}

/// The next round number outwards from zero, for the end of an axis.
pub(super) fn round_outwards(value: f64, count: usize) -> f64 {
    if value.abs() <= 0.0 || !value.is_finite() {
        return value;
    }
    let step = round_step(value.abs(), count);
    ((value.abs() / step - 1e-9).ceil() * step).copysign(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_round_ticks_of_a_symmetric_span() {
        let texts: Vec<_> = round_ticks(-12.0, 12.0, 5).into_iter().map(|tick| tick.text).collect();
        assert_eq!(texts, ["−10", "−5", "0", "5", "10"], "steps of 5 by the rule 1, 2, 5");
    }

    #[test]
    fn exact_round_outwards_stays_outside() {
        // Ten divisions of 9.3 are at least 0.93 wide: steps of 1, so 10.
        assert!((round_outwards(9.3, 10) - 10.0).abs() < 1e-12, "one rounding of a product");
        assert!((round_outwards(-9.3, 10) + 10.0).abs() < 1e-12, "one rounding of a product");
    }
}
