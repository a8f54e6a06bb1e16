use crate::error::{Bounds, Error, Result};
use crate::numeric::root_between;

/// The magnetising curve of an iron core: current as an odd function of flux linkage.
///
/// Single-valued: loss is a resistor in parallel, not a loop.
///
/// # Formula
/// odd power: i = a (λ/λ_k) + b (λ/λ_k)^n, n odd; table: straight lines between points, continued
/// beyond the last with the last slope, i(−λ) = −i(λ).
#[derive(Clone, Debug, PartialEq)]
pub enum Magnet {
    /// A linear part and one odd power.
    OddPower {
        /// Current of the linear part at the knee, a.
        linear_a: f64,
        /// Current of the power part at the knee, b.
        power_a: f64,
        /// Flux linkage at the knee, λ_k.
        knee_wb: f64,
        /// The exponent n.
        exponent: u32,
    },
    /// Points (flux linkage, current) with rising flux, all positive; (0, 0) is implied.
    Table {
        /// Flux linkage and current of each point.
        points_wb_a: Vec<(f64, f64)>,
    },
}

impl Magnet {
    /// Knee of the magnetising curve.
    pub const KNEE_WB: Bounds = Bounds::new("knee flux", "Wb", 1e-9, 1e6);
    /// Magnetising currents at the knee.
    pub const CURRENT_A: Bounds = Bounds::new("magnetising current at the knee", "A", 0.0, 1e6);
    /// Exponent of the saturation term.
    pub const EXPONENT: Bounds = Bounds::new("exponent of the magnetising curve", "", 3.0, 41.0);

    pub(super) fn check(&self) -> Result<()> {
        match self {
            Self::OddPower { linear_a, power_a, knee_wb, exponent } => {
                Self::CURRENT_A.check(*linear_a)?;
                Self::CURRENT_A.check(*power_a)?;
                Self::KNEE_WB.check(*knee_wb)?;
                Self::EXPONENT.check(f64::from(*exponent))?;
                if exponent % 2 == 0 {
                    return Err(Error::inconsistent(format!(
                        "the exponent of the magnetising curve is {exponent}, it must be odd"
                    )));
                }
                if *linear_a + *power_a <= 0.0 {
                    return Err(Error::inconsistent("the magnetising curve carries no current"));
                }
            }
            Self::Table { points_wb_a } => {
                if points_wb_a.is_empty() {
                    return Err(Error::inconsistent("the magnetising table is empty"));
                }
                let mut before = (0.0, 0.0);
                for &(flux_wb, current_a) in points_wb_a {
                    Self::KNEE_WB.check(flux_wb)?;
                    Self::CURRENT_A.check(current_a)?;
                    if flux_wb <= before.0 || current_a <= before.1 {
                        return Err(Error::inconsistent(format!(
                            "the magnetising table does not rise at {flux_wb} Wb, {current_a} A"
                        )));
                    }
                    before = (flux_wb, current_a);
                }
            }
        }
        Ok(())
    }

    /// Magnetising current at a flux linkage.
    #[must_use]
    pub fn current_a(&self, flux_wb: f64) -> f64 {
        match self {
            Self::OddPower { linear_a, power_a, knee_wb, exponent } => {
                let u = flux_wb / knee_wb;
                linear_a * u + power_a * u.powi(*exponent as i32)
            }
            Self::Table { .. } => {
                let line = self.segment(self.segment_of(flux_wb));
                line.current_a + line.slope_a_per_wb * (flux_wb - line.flux_wb)
            }
        }
    }

    /// Flux linkage at a magnetising current: the inverse curve.
    ///
    /// # Errors
    /// `OutOfRange` when the current is not a finite number below 1e9 A.
    pub fn flux_wb(&self, current_a: f64) -> Result<f64> {
        const ASKED_A: Bounds = Bounds::new("magnetising current", "A", -1e9, 1e9);
        ASKED_A.check(current_a)?;
        let size_a = current_a.abs();
        match self {
            Self::OddPower { linear_a, power_a, knee_wb, exponent } => {
                // One of the two terms carries at least half of the current: bounds u from above.
                let by_linear = if *linear_a > 0.0 { size_a / linear_a } else { f64::INFINITY };
                let by_power = if *power_a > 0.0 {
                    (size_a / power_a).powf(1.0 / f64::from(*exponent))
                } else {
                    f64::INFINITY
                };
                let high = by_linear.min(by_power) * (1.0 + 1e-12) + f64::MIN_POSITIVE;
                let miss = |u: f64| Ok(linear_a * u + power_a * u.powi(*exponent as i32) - size_a);
                let u = root_between(miss, 0.0, high, 1e-16 * high)?;
                Ok((u * knee_wb).copysign(current_a))
            }
            Self::Table { points_wb_a } => {
                let k = points_wb_a.iter().take_while(|p| p.1 < size_a).count();
                let line = self.segment(k.min(points_wb_a.len() - 1) as i32);
                let flux_wb = line.flux_wb + (size_a - line.current_a) / line.slope_a_per_wb;
                Ok(flux_wb.copysign(current_a))
            }
        }
    }

    /// Number of the straight piece a flux linkage lies on: 0 around zero, counted outward with the
    /// sign of the flux. Piece 0 covers both sides of the origin.
    pub(super) fn segment_of(&self, flux_wb: f64) -> i32 {
        match self {
            Self::OddPower { .. } => 0,
            Self::Table { points_wb_a } => {
                let last = points_wb_a.len() - 1;
                let k =
                    points_wb_a.iter().take(last).filter(|p| p.0 < flux_wb.abs()).count() as i32;
                if flux_wb < 0.0 { -k } else { k }
            }
        }
    }

    /// The straight piece of a table: a point on it, its slope and the fluxes where it ends.
    pub(super) fn segment(&self, number: i32) -> Line {
        let Self::Table { points_wb_a } = self else { return Line::default() };
        let k = number.unsigned_abs() as usize;
        let sign = if number < 0 { -1.0 } else { 1.0 };
        let start = if k == 0 { (0.0, 0.0) } else { points_wb_a[k - 1] };
        let end = points_wb_a[k];
        let outer_wb = if k + 1 == points_wb_a.len() { f64::INFINITY } else { end.0 };
        let inner_wb = if k == 0 { -outer_wb } else { start.0 };
        let (low_wb, high_wb) =
            if number < 0 { (-outer_wb, -inner_wb) } else { (inner_wb, outer_wb) };
        Line {
            flux_wb: sign * start.0,
            current_a: sign * start.1,
            slope_a_per_wb: (end.1 - start.1) / (end.0 - start.0),
            low_wb,
            high_wb,
        }
    }
}

/// A straight piece of a magnetising table.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Line {
    pub(super) flux_wb: f64,
    pub(super) current_a: f64,
    pub(super) slope_a_per_wb: f64,
    pub(super) low_wb: f64,
    pub(super) high_wb: f64,
}
