use jiff::civil::Date;

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
