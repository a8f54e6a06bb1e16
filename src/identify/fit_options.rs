use crate::numeric::SearchOptions;

/// How a fit is made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FitOptions {
    /// Relative standard uncertainty above which a value, or a combination of values, is not told.
    pub told_ratio: f64,
    /// Share of intervals that shall cover the true value.
    pub coverage_ratio: f64,
    /// When the search ends.
    pub search: SearchOptions,
}

impl FitOptions {
    /// Harmonic orders used unless the caller says otherwise: the fired reactor's corners have died
    /// out by then, and clamps of bench quality still pass it at 60 Hz. Our own choice.
    pub const HIGHEST_ORDER: usize = 40;
}

impl Default for FitOptions {
    /// A quarter of a value is no knowledge of it (our own choice); intervals of 95 %.
    fn default() -> Self {
        Self { told_ratio: 0.25, coverage_ratio: 0.95, search: SearchOptions::default() }
    }
}
