/// Edition of the standard a record follows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Revision {
    /// C37.111-1991, which does not name its year.
    Of1991,
    /// C37.111-1999.
    Of1999,
    /// C37.111-2013, also IEC 60255-24.
    Of2013,
}

impl Revision {
    /// The edition by the year in the first line; what is newer reads like the newest known.
    pub(super) fn from_field(field: Option<&str>) -> Self {
        match field.and_then(|year| year.parse::<u32>().ok()) {
            Some(year) if year >= 2013 => Self::Of2013,
            Some(year) if year >= 1999 => Self::Of1999,
            _ => Self::Of1991,
        }
    }

    /// The year.
    #[must_use]
    pub fn year(self) -> u32 {
        match self {
            Self::Of1991 => 1991,
            Self::Of1999 => 1999,
            Self::Of2013 => 2013,
        }
    }
}
