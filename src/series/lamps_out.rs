/// Which groups have lamps out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LampsOut {
    /// The same share of every group.
    EveryGroup,
    /// A share of one group, by its place in the field; the others stay as they are described.
    Group(usize),
}
