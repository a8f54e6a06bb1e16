use crate::error::Result;
use crate::numeric::root_between;
use crate::uncertainty::decision::Limits;
use crate::units::span_decimals;

use super::CorrectedReading;

/// What a meter must show for the true current to lie in its band with a stated probability.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SetBand {
    /// Lowest number that may be shown, on the display's digits.
    pub low_a: f64,
    /// Highest number that may be shown, on the display's digits.
    pub high_a: f64,
    /// Probability with which the true current then lies in the band, at the least.
    pub conformance_probability: f64,
    /// Width of the set-band over that of the band, both as shown: what the uncertainty leaves.
    pub kept_ratio: f64,
}

impl SetBand {
    /// The numbers a reading may show.
    ///
    /// `None` when not even a reading in the middle of the band proves the current in it, or when no
    /// digit of the display falls into what is left.
    ///
    /// # Formula
    /// All D with P(low ≤ I(D) ≤ high) ≥ p; ends by bracketing, then inwards to the last digit.
    ///
    /// # Errors
    /// As [`root_between`].
    pub fn new(
        reading: &CorrectedReading<'_>,
        band: &Limits,
        probability: f64,
    ) -> Result<Option<Self>> {
        Self::between(reading, reading, band, probability)
    }

    /// The numbers that are right for two gains of one meter and all between them: the lower end
    /// belongs to the higher gain.
    pub(super) fn between(
        lower_gain: &CorrectedReading<'_>,
        higher_gain: &CorrectedReading<'_>,
        band: &Limits,
        probability: f64,
    ) -> Result<Option<Self>> {
        let Some((band_low_a, band_high_a)) = band.lower().zip(band.upper()) else {
            return Ok(None);
        };
        let edge = |reading: &CorrectedReading<'_>, true_a: f64| -> Result<Option<f64>> {
            let gain = reading.gain().middle_ratio();
            let centre_a = gain * 0.5 * (band_low_a + band_high_a);
            let excess = |shown_a: f64| {
                reading.knowledge(shown_a).conformance_probability(band) - probability
            };
            if excess(centre_a) < 0.0 {
                return Ok(None);
            }
            let outer_a = gain * true_a;
            // At the edge of the band half of the probability lies outside, so the signs differ.
            if excess(outer_a) >= 0.0 {
                return Ok(Some(outer_a));
            }
            root_between(|a| Ok(excess(a)), outer_a, centre_a, 1e-9 * centre_a).map(Some)
        };
        let (low_a, high_a) = (edge(higher_gain, band_low_a)?, edge(lower_gain, band_high_a)?);
        let Some((low_a, high_a)) = low_a.zip(high_a) else { return Ok(None) };
        let resolution_a = higher_gain.range().resolution_a;
        let width_a = higher_gain.gain().middle_ratio() * (band_high_a - band_low_a);
        let low_a = on_digit(low_a, resolution_a, f64::ceil);
        let high_a = on_digit(high_a, resolution_a, f64::floor);
        Ok((low_a <= high_a).then(|| Self {
            low_a,
            high_a,
            conformance_probability: probability,
            kept_ratio: (high_a - low_a) / width_a,
        }))
    }

    /// "6.418 to 6.681 A" with the same decimals at both ends, or the one number that is left.
    #[must_use]
    pub fn words(&self) -> String {
        let (low, high) = span_decimals(self.low_a, self.high_a);
        if self.low_a < self.high_a { format!("{low} to {high} A") } else { format!("{low} A") }
    }

    /// How many numbers of a display with this last digit lie inside.
    #[must_use]
    pub fn numbers(&self, resolution_a: f64) -> f64 {
        ((self.high_a - self.low_a) / resolution_a).round() + 1.0
    }

    /// Whether a number shown lies inside.
    #[must_use]
    pub fn contains(&self, shown_a: f64) -> bool {
        Self::holds(self.low_a, self.high_a, shown_a)
    }

    /// Whether a number shown lies between two ends on the display's digits, ends included.
    #[must_use]
    pub fn holds(low_a: f64, high_a: f64, shown_a: f64) -> bool {
        let slack_a = 1e-9 * shown_a.abs();
        shown_a >= low_a - slack_a && shown_a <= high_a + slack_a
    }
}

/// A number moved to the display's digits. The slack keeps a number that is on a digit up to rounding.
fn on_digit(value_a: f64, resolution_a: f64, direction: impl Fn(f64) -> f64) -> f64 {
    const SLACK_STEPS: f64 = 1e-6;
    let steps = value_a / resolution_a;
    let near = steps.round();
    let steps = if (steps - near).abs() < SLACK_STEPS { near } else { direction(steps) };
    // Dividing by the steps in an ampere gives 6.6 where multiplying gives 6.6000000000000005.
    let per_ampere = (1.0 / resolution_a).round();
    if (per_ampere * resolution_a - 1.0).abs() < 1e-12 {
        steps / per_ampere
    } else {
        steps * resolution_a
    }
}
