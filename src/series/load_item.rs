use super::{Draw, TransformerLoss};

/// One line of a load calculation: equal pieces of equipment on the loop.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadItem {
    /// What it is, in the user's words.
    pub name: String,
    /// How many of them.
    pub count: u32,
    /// What one of them takes at the rated current.
    pub draw: Draw,
    /// Loss of its isolating transformer; `None` where the draw already contains it.
    pub loss: Option<TransformerLoss>,
}

impl LoadItem {
    /// Apparent power of all of them, without transformers.
    #[must_use]
    pub fn apparent_va(&self) -> f64 {
        f64::from(self.count) * self.draw.apparent_va()
    }

    /// Loss of all their transformers.
    #[must_use]
    pub fn loss_w(&self) -> f64 {
        let each_w = self.loss.as_ref().map_or(0.0, |loss| loss.of(self.draw.apparent_va()));
        f64::from(self.count) * each_w
    }

    /// What one more of them would add to the load: its draw and its transformer's loss.
    #[must_use]
    pub fn each_va(&self) -> f64 {
        let draw_va = self.draw.apparent_va();
        draw_va + self.loss.as_ref().map_or(0.0, |loss| loss.of(draw_va))
    }
}
