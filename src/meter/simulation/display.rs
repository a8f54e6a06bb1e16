use crate::meter::Reading;

/// What a display shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Display {
    /// A number.
    Number(Reading),
    /// That the current is too large for the range.
    Overload,
}
