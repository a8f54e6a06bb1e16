use super::{Event, EventKind};

/// Equal samples in a row at a period's top that may be a rail.
const FLAT_SAMPLES: usize = 3;
/// Periods that must reach the very same value before it is a rail.
const FEWEST_PERIODS: u64 = 3;
/// What the flanks say was cut off must be larger than so many steps of the converter: rounding alone
/// makes flat tops of a smooth peak, and what it cuts off is less than two.
const FEWEST_STEPS: f64 = 3.0;
/// A flat stretch this near to zero, as a part of the period's largest magnitude, is no rail but a
/// current that does not flow.
const NEAR_ZERO_RATIO: f64 = 0.05;

/// Finds the rails of a converter: values that periods reach again and again, and stay at.
#[derive(Debug, Default)]
pub(in super::super) struct RailWatch {
    high: Rail,
    low: Rail,
}

/// The outermost value at which periods were flat.
#[derive(Debug, Default)]
struct Rail {
    value_a: Option<f64>,
    periods: u64,
    first_s: f64,
    last_s: f64,
}

impl RailWatch {
    /// Looks at the samples of one period as the converter gave them.
    pub(in super::super) fn add(&mut self, samples_a: &[f64], start_s: f64, end_s: f64) {
        let largest_a = samples_a.iter().fold(0.0, |most: f64, a| most.max(a.abs()));
        let step_a = samples_a
            .windows(2)
            .map(|pair| (pair[1] - pair[0]).abs())
            .filter(|step_a| *step_a > 0.0)
            .fold(f64::INFINITY, f64::min);
        for (sign, rail) in [(1.0, &mut self.high), (-1.0, &mut self.low)] {
            if let Some(value_a) = flat_top(samples_a, sign, step_a)
                && value_a.abs() > NEAR_ZERO_RATIO * largest_a
            {
                rail.add(sign * value_a, sign, start_s, end_s);
            }
        }
    }

    pub(in super::super) fn finish(self) -> Option<Event> {
        let reached: Vec<&Rail> =
            [&self.high, &self.low].into_iter().filter(|r| r.periods >= FEWEST_PERIODS).collect();
        let first_s = reached.iter().map(|rail| rail.first_s).reduce(f64::min)?;
        let last_s = reached.iter().map(|rail| rail.last_s).reduce(f64::max)?;
        let value = |rail: &Rail| rail.value_a.filter(|_| rail.periods >= FEWEST_PERIODS);
        let kind = EventKind::Clipping {
            high_rail_a: value(&self.high),
            low_rail_a: value(&self.low),
            periods: reached.iter().map(|rail| rail.periods).max().unwrap_or(0),
        };
        Some(Event { start_s: first_s, end_s: Some(last_s), kind })
    }
}

impl Rail {
    /// `outward` is the value with its sign turned so that larger is farther out.
    fn add(&mut self, outward: f64, sign: f64, start_s: f64, end_s: f64) {
        let known = self.value_a.map(|value_a| sign * value_a);
        // Farther out than the rail known so far: that was none.
        if known.is_none_or(|known| outward > known) {
            *self =
                Self { value_a: Some(sign * outward), periods: 0, first_s: start_s, last_s: end_s };
        }
        if known.is_none_or(|known| outward >= known) {
            self.periods += 1;
            self.last_s = end_s;
        }
    }
}

/// The value at which a period stays flat at its top (its bottom for a negative sign), where the
/// flanks beside it rise as if the current went on.
///
/// # Formula
/// Slopes s on both sides, L equal samples: a parabola through the flanks has the bend
/// κ = (s₁ + s₂)/(L + 2) and rises by (s₁ − κ/2)²/(2κ) above the last sample of the flank.
fn flat_top(samples_a: &[f64], sign: f64, step_a: f64) -> Option<f64> {
    let top = samples_a.iter().map(|a| sign * a).fold(f64::NEG_INFINITY, f64::max);
    let is_top = |a: &f64| sign * a >= top;
    let mut at = 0;
    while at < samples_a.len() {
        let length = samples_a[at..].iter().take_while(|a| is_top(a)).count();
        let end = at + length;
        if length >= FLAT_SAMPLES && at >= 2 && end + 2 <= samples_a.len() {
            let side = |k: usize| sign * samples_a[k];
            let (rise, fall) = (side(at - 1) - side(at - 2), side(end) - side(end + 1));
            let bend = (rise + fall) / (length + 2) as f64;
            if rise > 0.0 && fall > 0.0 {
                let above_flank = (rise - 0.5 * bend).powi(2) / (2.0 * bend);
                let cut_off = above_flank - (top - side(at - 1));
                if cut_off > FEWEST_STEPS * step_a {
                    return Some(sign * top);
                }
            }
        }
        at = end + usize::from(length == 0);
    }
    None
}
