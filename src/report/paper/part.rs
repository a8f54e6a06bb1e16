use super::Block;

/// What stands on sheets of its own, with its own running head and page numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// What the sheets belong to, at the left of every head.
    pub head_left: String,
    /// The same, at the right.
    pub head_right: String,
    /// Whether it should stand on one sheet if its type, made a little smaller, lets it; where it does
    /// not, every foot but the last says that it goes on.
    pub on_one_sheet: bool,
    /// Whether a leaf printed on both sides holds nothing else: after an odd number of sheets a blank
    /// one follows.
    pub on_own_leaf: bool,
    /// The blocks, in order.
    pub blocks: Vec<Block>,
}

impl Part {
    /// Every text in it.
    pub fn words(&self) -> impl Iterator<Item = &str> {
        let heads = [self.head_left.as_str(), self.head_right.as_str()];
        heads.into_iter().chain(self.blocks.iter().flat_map(Block::words))
    }
}
