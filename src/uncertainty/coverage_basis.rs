/// What kind of distribution a coverage factor was taken from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum CoverageBasis {
    /// Normal: many contributions, all spreads well known.
    Normal,
    /// Student's t with the effective degrees of freedom.
    Student,
    /// One rectangular part and nothing else to speak of: k = p √3.
    Rectangular,
    /// Two rectangular parts, which make a trapezoid.
    Trapezoidal,
    /// One large rectangular part with a normal rest.
    RectangularWithNormal,
    /// The factor was given with the number, as on a certificate.
    Stated,
}

impl CoverageBasis {
    /// Plain words for a table.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Normal => "normal",
            Self::Student => "Student's t, effective degrees of freedom",
            Self::Rectangular => "one rectangular part dominates",
            Self::Trapezoidal => "two rectangular parts dominate: trapezoid",
            Self::RectangularWithNormal => "a large rectangular part with a normal rest",
            Self::Stated => "as stated",
        }
    }
}
