use crate::error::Bounds;

/// Over which stretch of the current a converter computes one reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Window {
    /// Whole periods of the mains: synchronised.
    WholePeriods,
    /// A fixed time, beginning anywhere in the period.
    Free {
        /// Its length.
        length_s: f64,
    },
}

impl Window {
    /// Length of a window.
    pub const LENGTH_S: Bounds = Bounds::new("length of the window", "s", 1e-3, 100.0);
}
