use num_complex::Complex64;

/// A stretch of a shape on which it is `sine · sin θ + level + slope · θ`.
///
/// # Formula
/// ∫ f e^{−jkθ} dθ from the antiderivatives of 1, θ and sin θ; a piece shorter than a tenth of a
/// radian of the line's own angle, where those cancel, by three Gauss points (below 1e-12).
#[derive(Clone, Copy, Debug)]
pub(crate) struct Piece {
    pub(crate) from_rad: f64,
    pub(crate) to_rad: f64,
    pub(crate) sine: f64,
    pub(crate) level: f64,
    pub(crate) slope: f64,
}

/// Below this angle of the line across a piece the closed form loses digits.
const SHORT_RAD: f64 = 0.1;

impl Piece {
    pub(super) fn sine(from_rad: f64, to_rad: f64) -> Self {
        Self { from_rad, to_rad, sine: 1.0, level: 0.0, slope: 0.0 }
    }

    pub(super) fn level(from_rad: f64, to_rad: f64, level: f64) -> Self {
        Self { from_rad, to_rad, sine: 0.0, level, slope: 0.0 }
    }

    /// A straight line from one value to another.
    pub(super) fn ramp(from_rad: f64, to_rad: f64, from: f64, to: f64) -> Self {
        let slope = if to_rad > from_rad { (to - from) / (to_rad - from_rad) } else { 0.0 };
        Self { from_rad, to_rad, sine: 0.0, level: slope.mul_add(-from_rad, from), slope }
    }

    fn at(&self, theta_rad: f64) -> f64 {
        self.sine.mul_add(theta_rad.sin(), self.slope.mul_add(theta_rad, self.level))
    }

    /// ∫ f dθ
    pub(crate) fn area(&self) -> f64 {
        let (a, b) = (self.from_rad, self.to_rad);
        // Between two angles by their middle: no difference of two cosines near one.
        let sine = 2.0 * (0.5 * (a + b)).sin() * (0.5 * (b - a)).sin();
        let straight = self.slope.mul_add(0.5 * (a + b), self.level) * (b - a);
        self.sine.mul_add(sine, straight)
    }

    /// ∫ f² dθ; a piece is either a sine or straight.
    pub(crate) fn square(&self) -> f64 {
        let (a, b) = (self.from_rad, self.to_rad);
        let sine = 0.5 * ((b - a) - (a + b).cos() * (b - a).sin());
        let straight = |theta_rad: f64| self.slope.mul_add(theta_rad, self.level).powi(2);
        let simpson = (b - a) / 6.0 * (straight(a) + 4.0 * straight(0.5 * (a + b)) + straight(b));
        self.sine.powi(2).mul_add(sine, simpson)
    }

    /// ∫ f e^{−j·order·θ} dθ, order 1 or more.
    pub(crate) fn line(&self, order: usize) -> Complex64 {
        let h = order as f64;
        let (a, b) = (self.from_rad, self.to_rad);
        if (h + 1.0) * (b - a) < SHORT_RAD {
            return self.line_of_short(h);
        }
        let turn = |k: f64, theta_rad: f64| Complex64::from_polar(1.0, -k * theta_rad);
        let even = |k: f64| Complex64::new(0.0, 1.0 / k) * (turn(k, b) - turn(k, a));
        let mut sum = self.level * even(h);
        if self.slope.abs() > 0.0 {
            let end =
                |theta_rad: f64| turn(h, theta_rad) * Complex64::new(1.0 / (h * h), theta_rad / h);
            sum += self.slope * (end(b) - end(a));
        }
        if self.sine.abs() > 0.0 {
            let below = if order == 1 { Complex64::new(b - a, 0.0) } else { even(h - 1.0) };
            sum += Complex64::new(0.0, -0.5 * self.sine) * (below - even(h + 1.0));
        }
        sum
    }

    fn line_of_short(&self, h: f64) -> Complex64 {
        let (middle, half) =
            (0.5 * (self.from_rad + self.to_rad), 0.5 * (self.to_rad - self.from_rad));
        let away = half * 0.6_f64.sqrt();
        [(middle - away, 5.0), (middle, 8.0), (middle + away, 5.0)]
            .into_iter()
            .map(|(theta_rad, weight)| {
                half * weight / 9.0
                    * self.at(theta_rad)
                    * Complex64::from_polar(1.0, -h * theta_rad)
            })
            .sum()
    }
}
