use std::f64::consts::{PI, SQRT_2};

use super::RectifierFixture;

/// Average rectified value of a sine over its RMS.
const SINE_ARV_RATIO: f64 = 2.0 * SQRT_2 / PI;

impl RectifierFixture {
    /// Share of a fixture's power that is lost in its path, where nothing is known. Ours, no source.
    const PATH_SHARE: f64 = 0.02;

    /// A fixture that takes a power from a sine of a given RMS.
    ///
    /// # Formula
    /// R = 0.02 P / I², V = 0.98 P / I_arv, I_arv = (2√2/π) I
    #[must_use]
    pub fn taking(power_w: f64, rms_a: f64) -> Self {
        Self {
            dc_v: (1.0 - Self::PATH_SHARE) * power_w / (SINE_ARV_RATIO * rms_a),
            path_ohm: Self::PATH_SHARE * power_w / (rms_a * rms_a),
        }
    }

    /// What it takes from a sine of a given RMS.
    ///
    /// # Formula
    /// P = V I_arv + R I²
    #[must_use]
    pub fn power_w(&self, rms_a: f64) -> f64 {
        self.dc_v * SINE_ARV_RATIO * rms_a + self.path_ohm * rms_a * rms_a
    }

    /// Active over apparent power on a sine of a given RMS: the voltage is a square wave with the
    /// drop of the path on it.
    ///
    /// # Formula
    /// U² = V² + 2 V R I_arv + R² I², power factor = P / (U I)
    #[must_use]
    pub fn sine_power_factor(&self, rms_a: f64) -> f64 {
        let (v, r, arv_a) = (self.dc_v, self.path_ohm, SINE_ARV_RATIO * rms_a);
        let voltage_v = (v * v + 2.0 * v * r * arv_a + r * r * rms_a * rms_a).sqrt();
        self.power_w(rms_a) / (voltage_v * rms_a)
    }
}
