use crate::error::{Bounds, Error, Result};

use super::{DriftReading, Estimate};

/// A steady drift through readings between which the value was set anew now and then: one slope, and
/// a level for every stretch between two settings.
///
/// # Formula
/// yⱼᵢ = Lⱼ + s tⱼᵢ, weights w = 1/u²; with t̄ⱼ, ȳⱼ the weighted means of a stretch
/// s = Σ w (t − t̄ⱼ)(y − ȳⱼ) / Σ w (t − t̄ⱼ)², u²(s) = B²/Σ w (t − t̄ⱼ)²,
/// B² = max(1, χ²/ν), ν readings less stretches less 1
///
/// # Validity
/// The drift is taken as steady and the scatter of the readings as independent of one another. What
/// all readings have in common, such as the error of one meter, shifts the level and not the slope.
/// Scatter below the stated uncertainties is not taken as a gain.
///
/// # Source
/// JCGM 100:2008, H.3, for one stretch with equal weights; the scale B after R. T. Birge (from
/// memory).
#[derive(Clone, Debug, PartialEq)]
pub struct DriftLine {
    /// Change of the value per unit of time.
    pub slope: Estimate,
    /// B: how much wider the readings scatter than their uncertainties say; 1 where they do not, or
    /// where nothing can be said.
    pub scatter_ratio: f64,
    /// ν, whole; 0 when the line goes through every reading by itself.
    pub degrees_of_freedom: usize,
    /// Time and value at the centre of the last stretch.
    centre: (f64, f64),
    /// Variance of the value there.
    centre_variance: f64,
}

/// Weighted sums of one stretch.
#[derive(Clone, Copy, Debug, Default)]
struct Stretch {
    weight: f64,
    time: f64,
    value: f64,
}

impl DriftLine {
    /// The uncertainty of a reading.
    pub const UNCERTAINTY: Bounds =
        Bounds::new("standard uncertainty of a reading", "", f64::MIN_POSITIVE, f64::MAX);

    /// The line through readings in order of time; `None` where no stretch has two readings at
    /// different times, so that nothing is known of a drift.
    ///
    /// # Errors
    /// `OutOfRange` for an uncertainty that is not positive; `Inconsistent` for readings out of
    /// order.
    pub fn through(readings: &[DriftReading]) -> Result<Option<Self>> {
        for reading in readings {
            Self::UNCERTAINTY.check(reading.standard_uncertainty)?;
        }
        if readings.windows(2).any(|pair| pair[1].time < pair[0].time) {
            return Err(Error::inconsistent("the readings of a drift are not in order of time"));
        }
        let stretches: Vec<&[DriftReading]> =
            readings.chunk_by(|_, next| !next.begins_level).collect();
        let centres: Vec<Stretch> = stretches.iter().map(|stretch| Stretch::of(stretch)).collect();
        let pairs = || {
            let together = stretches.iter().zip(&centres);
            together.flat_map(|(stretch, centre)| {
                stretch.iter().map(move |reading| (reading.weight(), centre.offset(reading)))
            })
        };
        let lever: f64 = pairs().map(|(weight, (time, _))| weight * time * time).sum();
        let (Some(last), true) = (centres.last(), lever > 0.0) else { return Ok(None) };
        let slope: f64 =
            pairs().map(|(weight, (time, value))| weight * time * value).sum::<f64>() / lever;
        let chi_square: f64 =
            pairs().map(|(weight, (time, value))| weight * (value - slope * time).powi(2)).sum();
        let freedom = readings.len().saturating_sub(stretches.len() + 1);
        let scatter_ratio =
            if freedom == 0 { 1.0 } else { (chi_square / freedom as f64).sqrt().max(1.0) };
        let variance = scatter_ratio * scatter_ratio;
        // Where the stated uncertainties are what counts, they are taken as exactly known.
        let known = if scatter_ratio > 1.0 { freedom as f64 } else { f64::INFINITY };
        Ok(Some(Self {
            slope: Estimate::new(slope, (variance / lever).sqrt(), known)?,
            scatter_ratio,
            degrees_of_freedom: freedom,
            centre: (last.time, last.value),
            centre_variance: variance / last.weight,
        }))
    }

    /// The value to be expected at a time on the last level.
    ///
    /// `common_uncertainty` is what all readings have in common, such as the meter's.
    ///
    /// # Errors
    /// As [`Estimate::new`].
    pub fn at(&self, time: f64, common_uncertainty: f64) -> Result<Estimate> {
        let ahead = time - self.centre.0;
        let slope = self.slope.standard_uncertainty;
        let variance = self.centre_variance + (ahead * slope).powi(2) + common_uncertainty.powi(2);
        Estimate::new(
            self.centre.1 + self.slope.value * ahead,
            variance.sqrt(),
            self.slope.degrees_of_freedom,
        )
    }
}

impl DriftReading {
    fn weight(&self) -> f64 {
        self.standard_uncertainty.powi(-2)
    }
}

impl Stretch {
    fn of(readings: &[DriftReading]) -> Self {
        let mut sums = Self::default();
        for reading in readings {
            let weight = reading.weight();
            sums.weight += weight;
            sums.time += weight * reading.time;
            sums.value += weight * reading.value;
        }
        Self { weight: sums.weight, time: sums.time / sums.weight, value: sums.value / sums.weight }
    }

    /// Time and value of a reading against the centre of its stretch.
    fn offset(&self, reading: &DriftReading) -> (f64, f64) {
        (reading.time - self.time, reading.value - self.value)
    }
}
