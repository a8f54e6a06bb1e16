/// What is done to a regulator to see whether its protection acts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Trial {
    /// The control fails: from one half cycle to the next the firing delay is the one that belongs to
    /// this multiple of rated current, and stays there. Beyond what the last delay gives, the supply
    /// stands too high from the beginning, as with a wrong tap: the control makes up for it, then
    /// drifts to its last delay within [`Self::DRIFT_HALF_CYCLES`], since a jump would throw the
    /// resonant network into another state.
    ControlFault {
        /// True RMS the regulator comes to, over rated current.
        to_ratio: f64,
    },
    /// The target is raised to this multiple while the control works: how a set-point is tried.
    TargetRaised {
        /// Target over rated current.
        to_ratio: f64,
    },
    /// The supply jumps while the control works.
    SupplyJump {
        /// Voltage over what it was.
        voltage_ratio: f64,
    },
    /// A part of the field is shorted while the control works.
    LoadThrownOff {
        /// Share of the load that is left.
        left_ratio: f64,
    },
    /// The loop opens: a resistance of [`Self::OPEN_RATIO`] times the rated one stands for it, since no
    /// gap and no insulation is infinite and the model's iron alone limits the voltage.
    CircuitOpened,
}

impl Trial {
    /// Resistance of an open loop over the rated resistance. Ours, no source.
    pub const OPEN_RATIO: f64 = 100.0;
    /// How long a control takes to drift to its last delay: a tenth of a second at 60 Hz, against
    /// limits of seconds. Ours, no source.
    pub const DRIFT_HALF_CYCLES: usize = 12;
    /// Supply voltage after a jump over the one before. Ours, no source.
    pub const JUMP_RATIO: f64 = 1.1;
    /// Share of the load that is left when a part of the field is shorted. Ours, no source.
    pub const LEFT_RATIO: f64 = 0.5;

    /// The name used in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::ControlFault { .. } => "control-fault",
            Self::TargetRaised { .. } => "target-raised",
            Self::SupplyJump { .. } => "supply-jump",
            Self::LoadThrownOff { .. } => "load-thrown-off",
            Self::CircuitOpened => "circuit-opened",
        }
    }

    /// What happens, in words.
    #[must_use]
    pub fn words(self) -> String {
        let percent = |ratio: f64| format!("{} %", (1e4 * ratio).round() / 1e2);
        match self {
            Self::ControlFault { to_ratio } => format!("control fault to {}", percent(to_ratio)),
            Self::TargetRaised { to_ratio } => format!("target raised to {}", percent(to_ratio)),
            Self::SupplyJump { voltage_ratio } => {
                format!("supply jumps to {}", percent(voltage_ratio))
            }
            Self::LoadThrownOff { left_ratio } => {
                format!("{} of load shorted", percent(1.0 - left_ratio))
            }
            Self::CircuitOpened => "loop opens".into(),
        }
    }

    /// The multiple of rated current it drives to, where it drives to one.
    #[must_use]
    pub fn to_ratio(self) -> Option<f64> {
        match self {
            Self::ControlFault { to_ratio } | Self::TargetRaised { to_ratio } => Some(to_ratio),
            Self::SupplyJump { .. } | Self::LoadThrownOff { .. } | Self::CircuitOpened => None,
        }
    }
}
