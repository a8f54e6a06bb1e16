/// One fixture group at an operating point.
#[derive(Clone, Debug, PartialEq)]
pub struct GroupPoint {
    /// The group's name.
    pub name: String,
    /// Fixtures that are lit; a share of lamps out may make parts of fixtures.
    pub lit: f64,
    /// Fixtures whose secondary is open.
    pub open: f64,
    /// Fixtures whose secondary is shorted.
    pub shorted: f64,
    /// RMS current in the secondary of a lit fixture; `None` when no fixture is lit. Of a group
    /// partly bypassed, that of the fixtures that are not.
    pub secondary_rms_a: Option<f64>,
    /// Power in the lamps or electronics of one lit fixture; `None` as above.
    pub fixture_w: Option<f64>,
    /// RMS voltage across one open secondary; `None` when none is open.
    pub open_secondary_rms_v: Option<f64>,
    /// Largest magnitude of that voltage.
    pub open_secondary_peak_v: Option<f64>,
}
