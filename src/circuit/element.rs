use super::{BranchId, GateRule, Magnet, Source};

/// What a branch is made of.
///
/// | element | law | state |
/// |---|---|---|
/// | resistor | v = R i | |
/// | inductor | v = L di/dt (+ M of coupled ones) | current |
/// | capacitor | i = C dv/dt | voltage |
/// | saturating inductor | i = i_m(λ) + v/R_core, v = dλ/dt | flux linkage |
/// | sources | v = e(t) or i = e(t) | |
/// | ideal transformer | v₁ = n v₂, i₂ = −n i₁ | |
/// | diode, thyristor, triac | v = 0 or i = 0 | on or off |
#[derive(Clone, Debug, PartialEq)]
pub enum Element {
    /// A resistor.
    Resistor {
        /// Resistance.
        resistance_ohm: f64,
    },
    /// A linear inductor, or one winding of coupled ones.
    Inductor {
        /// Self-inductance.
        inductance_h: f64,
    },
    /// A capacitor.
    Capacitor {
        /// Capacitance.
        capacitance_f: f64,
    },
    /// An inductor with iron: magnetising current as a function of flux linkage.
    SaturatingInductor {
        /// The magnetising curve.
        magnet: Magnet,
        /// Resistance in parallel that stands for the core's loss, when it is modelled.
        core_loss_ohm: Option<f64>,
    },
    /// Primary side of an ideal transformer.
    IdealPrimary {
        /// Primary turns over secondary turns.
        turns_ratio: f64,
    },
    /// Secondary side of the ideal transformer whose primary is named.
    IdealSecondary {
        /// The primary branch.
        primary: BranchId,
    },
    /// A voltage source: v(from) − v(to) = e(t).
    VoltageSource(Source),
    /// A current source: e(t) flows from → to through the source.
    CurrentSource(Source),
    /// Conducts from → to only; no drop while on.
    Diode,
    /// Conducts from → to once fired, until its current returns to zero.
    Thyristor(GateRule),
    /// Conducts in either direction once fired, until its current returns to zero.
    Triac(GateRule),
}

impl Element {
    /// The kind of element in words.
    #[must_use]
    pub fn words(&self) -> &'static str {
        match self {
            Self::Resistor { .. } => "resistor",
            Self::Inductor { .. } => "inductor",
            Self::Capacitor { .. } => "capacitor",
            Self::SaturatingInductor { .. } => "saturating inductor",
            Self::IdealPrimary { .. } | Self::IdealSecondary { .. } => "ideal transformer",
            Self::VoltageSource(_) => "voltage source",
            Self::CurrentSource(_) => "current source",
            Self::Diode => "diode",
            Self::Thyristor(_) => "thyristor",
            Self::Triac(_) => "triac",
        }
    }

    /// Whether the element is a switch: open or closed, nothing in between.
    #[must_use]
    pub fn is_switch(&self) -> bool {
        matches!(self, Self::Diode | Self::Thyristor(_) | Self::Triac(_))
    }

    /// When the element is fired, if it has a gate.
    #[must_use]
    pub fn gate(&self) -> Option<&GateRule> {
        match self {
            Self::Thyristor(rule) | Self::Triac(rule) => Some(rule),
            _ => None,
        }
    }
}
