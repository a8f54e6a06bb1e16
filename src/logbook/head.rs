/// The last entry of a logbook. Written on paper, it lets one notice later that entries were cut off.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Head {
    /// Its number: how many entries there are.
    pub number: u64,
    /// Its hash.
    pub hash: String,
}
