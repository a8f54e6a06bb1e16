use jiff::civil::Date;

use crate::procedure::entry::Moment;

/// One reading of a step among those of other years.
#[derive(Clone, Debug, PartialEq)]
pub struct StepPoint {
    /// Number of the visit.
    pub visit: u64,
    /// Its day.
    pub day: Date,
    /// Before or after adjusting.
    pub moment: Moment,
    /// The meter it was read with.
    pub meter: String,
    /// The number on the display.
    pub shown_a: f64,
    /// The true current it was judged to mean, RMS.
    pub true_rms_a: f64,
    /// Standard uncertainty of that.
    pub standard_uncertainty_a: f64,
    /// Lower and upper limit of the band it was judged against.
    pub band_a: (f64, f64),
}

impl StepPoint {
    /// Whether the step was set since the point before.
    #[must_use]
    pub fn begins_level(&self) -> bool {
        self.moment == Moment::AsLeft
    }
}
