/// One value of a row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cell<'a> {
    /// A number that counts.
    Whole(u64),
    /// A quantity; `None` where there is none.
    Real(Option<f64>),
    /// A word from a short list.
    Word(&'a str),
}
