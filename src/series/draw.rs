/// What one piece of equipment takes at the rated current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Draw {
    /// Filament lamps: all of it active.
    Lamp {
        /// Power of all lamps of one fixture.
        power_w: f64,
    },
    /// Electronics with a power factor.
    Electronic {
        /// Active power.
        active_w: f64,
        /// Active over apparent power.
        power_factor: f64,
    },
    /// Printed in volt-amperes, the power factor not known.
    Apparent {
        /// Apparent power.
        apparent_va: f64,
    },
}

impl Draw {
    /// Apparent power of one piece.
    #[must_use]
    pub fn apparent_va(self) -> f64 {
        match self {
            Self::Lamp { power_w } => power_w,
            Self::Electronic { active_w, power_factor } => active_w / power_factor,
            Self::Apparent { apparent_va } => apparent_va,
        }
    }

    /// Active power of one piece; `None` where the power factor is not known.
    #[must_use]
    pub fn active_w(self) -> Option<f64> {
        match self {
            Self::Lamp { power_w } => Some(power_w),
            Self::Electronic { active_w, .. } => Some(active_w),
            Self::Apparent { .. } => None,
        }
    }

    /// Whether it is a filament lamp.
    #[must_use]
    pub fn is_lamp(self) -> bool {
        matches!(self, Self::Lamp { .. })
    }
}
