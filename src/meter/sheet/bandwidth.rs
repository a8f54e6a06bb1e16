use num_complex::Complex64;

use crate::error::{Bounds, Error, Result};

use super::FrequencyError;

/// How far up in frequency a meter sees.
#[derive(Clone, Debug, PartialEq)]
pub enum Bandwidth {
    /// The sheet sets no upper end: every harmonic is seen alike.
    Unlimited,
    /// Poles, each a corner frequency of −3 dB by itself.
    Poles(Vec<f64>),
    /// Error of a sine by frequency, frequencies rising; phase is not touched.
    Table(Vec<FrequencyError>),
}

impl Bandwidth {
    /// Corner frequencies.
    pub const CORNER_HZ: Bounds = Bounds::new("bandwidth", "Hz", 1.0, 1e9);
    /// Errors of a table.
    pub const ERROR_RATIO: Bounds = Bounds::new("error in a table of frequencies", "", -1.0, 10.0);

    /// Response to a line of one frequency, not yet normalised.
    ///
    /// # Formula
    /// Poles: Π 1 / (1 + j f / f_k). Table: 1 + error, linear in the logarithm of the frequency
    /// between two lines, constant below the first; above the last as with one pole that leaves
    /// the last line alone: the response falls as 1 / f.
    ///
    /// # Validity
    /// Below and above its table a meter may do anything; the rule there is our own, no source.
    #[must_use]
    pub fn response(&self, frequency_hz: f64) -> Complex64 {
        match self {
            Self::Unlimited => Complex64::ONE,
            Self::Poles(corners_hz) => corners_hz
                .iter()
                .map(|corner_hz| Complex64::new(1.0, frequency_hz / corner_hz))
                .product::<Complex64>()
                .inv(),
            Self::Table(lines) => Complex64::new(of_table(lines, frequency_hz), 0.0),
        }
    }

    /// Frequency at which the response has fallen to 1/√2 of that at `reference_hz`; `None` when it
    /// never does.
    #[must_use]
    pub fn minus_3_db_hz(&self, reference_hz: f64) -> Option<f64> {
        let floor = std::f64::consts::FRAC_1_SQRT_2 * self.response(reference_hz).norm();
        if matches!(self, Self::Unlimited) {
            return None;
        }
        // The response falls for ever beyond the last corner or line, so that an octave further on
        // is a bracket; bisection in the logarithm.
        let mut low_hz = reference_hz;
        let mut high_hz = 2.0 * reference_hz;
        while self.response(high_hz).norm() > floor {
            low_hz = high_hz;
            high_hz *= 2.0;
            if high_hz > 4.0 * Self::CORNER_HZ.max {
                return None;
            }
        }
        for _ in 0..60 {
            let middle_hz = (low_hz * high_hz).sqrt();
            if self.response(middle_hz).norm() > floor {
                low_hz = middle_hz;
            } else {
                high_hz = middle_hz;
            }
        }
        Some(high_hz)
    }

    /// # Errors
    /// `OutOfRange` for a value outside its bounds; `Inconsistent` for an empty list or frequencies
    /// that do not rise.
    pub(super) fn check(&self) -> Result<()> {
        match self {
            Self::Unlimited => Ok(()),
            Self::Poles(corners_hz) => {
                if corners_hz.is_empty() {
                    return Err(Error::inconsistent("the bandwidth has no pole"));
                }
                corners_hz.iter().try_for_each(|hz| Self::CORNER_HZ.check(*hz).map(|_| ()))
            }
            Self::Table(lines) => {
                for line in lines {
                    Self::CORNER_HZ.check(line.frequency_hz)?;
                    Self::ERROR_RATIO.check(line.error_ratio)?;
                }
                let rises = lines.windows(2).all(|two| two[0].frequency_hz < two[1].frequency_hz);
                if lines.is_empty() || !rises {
                    return Err(Error::inconsistent(
                        "the frequencies of the table of errors do not rise, or there is none",
                    ));
                }
                Ok(())
            }
        }
    }
}

fn of_table(lines: &[FrequencyError], frequency_hz: f64) -> f64 {
    let (Some(first), Some(last)) = (lines.first(), lines.last()) else { return 1.0 };
    if frequency_hz <= first.frequency_hz {
        return 1.0 + first.error_ratio;
    }
    for pair in lines.windows(2) {
        if frequency_hz <= pair[1].frequency_hz {
            let part = (frequency_hz / pair[0].frequency_hz).ln()
                / (pair[1].frequency_hz / pair[0].frequency_hz).ln();
            return 1.0 + pair[0].error_ratio * (1.0 - part) + pair[1].error_ratio * part;
        }
    }
    (1.0 + last.error_ratio) * last.frequency_hz / frequency_hz
}
