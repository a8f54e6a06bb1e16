use jiff::civil::Date;

use crate::error::Bounds;

/// Where and when a meter is used, as far as it is known: what its sheet is held against.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Circumstances {
    /// Today.
    pub today: Option<Date>,
    /// Largest RMS voltage of the loop to earth.
    pub loop_rms_v: Option<f64>,
    /// Width of the band the current must be proved to lie in.
    pub band_width_a: Option<f64>,
    /// Temperature of the meter.
    pub ambient_degc: Option<f64>,
}

impl Circumstances {
    /// Temperatures a meter can be used at. Ours, wide of any data sheet: what lies outside is a slip.
    pub const AMBIENT_DEGC: Bounds = Bounds::new("temperature at the meter", "°C", -60.0, 100.0);
}
