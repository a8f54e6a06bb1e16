/// The result of a load calculation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadSum {
    /// Current for which it holds.
    pub current_rms_a: f64,
    /// All filament lamps.
    pub lamp_w: f64,
    /// All isolating transformers.
    pub loss_w: f64,
    /// Resistance of all cable.
    pub cable_ohm: f64,
    /// Loss in all cable.
    pub cable_w: f64,
    /// Everything that is no lamp, without its transformers.
    pub electronic_va: f64,
    /// Active power of everything; `None` where the power factor of one item is not known.
    pub active_w: Option<f64>,
    /// Reactive power as if every item with a power factor lagged; `None` where one is not known.
    pub reactive_var: Option<f64>,
}

impl LoadSum {
    /// Watts and volt-amperes added as numbers: what a regulator is chosen for.
    #[must_use]
    pub fn apparent_va(&self) -> f64 {
        self.lamp_w + self.loss_w + self.cable_w + self.electronic_va
    }

    /// The same added as phasors of a sine; `None` where a power factor is not known.
    ///
    /// # Formula
    /// S = √(P² + Q²), never above the sum of numbers
    #[must_use]
    pub fn phasor_va(&self) -> Option<f64> {
        Some(self.active_w?.hypot(self.reactive_var?))
    }

    /// Active power over the phasor sum; `None` where a power factor is not known or nothing is
    /// drawn.
    #[must_use]
    pub fn power_factor(&self) -> Option<f64> {
        let (active_w, phasor_va) = (self.active_w?, self.phasor_va()?);
        (phasor_va > 0.0).then(|| active_w / phasor_va)
    }

    /// Output voltage at the rated current.
    #[must_use]
    pub fn voltage_rms_v(&self) -> f64 {
        self.apparent_va() / self.current_rms_a
    }
}
