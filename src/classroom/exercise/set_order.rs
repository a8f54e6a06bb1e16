use crate::error::{Bounds, Result};

use super::Level;

/// What set of sheets is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SetOrder {
    /// Sheets, one for each trainee.
    pub class: u32,
    /// Questions on each.
    pub questions: u32,
    /// Seed everything is drawn from.
    pub seed: u64,
    /// Level of the problems.
    pub level: Level,
}

impl SetOrder {
    /// Sheets of a set.
    pub const CLASS: Bounds = Bounds::new("class", "trainees", 1.0, 200.0);
    /// Questions of a sheet. With more on the largest class the drier kinds, such as lamp life, would
    /// run out of numbers.
    pub const QUESTIONS: Bounds = Bounds::new("questions on a sheet", "", 1.0, 12.0);
    /// What is not repeated in a set.
    pub const WITHOUT_REPEATS: &'static str = "No problem comes twice in this set, on one sheet or on two: any two differ in a number, a \
         cell or a statement printed, the name of the place not counted. The same kind of problem \
         does come again, with other numbers.";

    /// Refuses what is no class.
    ///
    /// # Errors
    /// `OutOfRange` outside [`Self::CLASS`] or [`Self::QUESTIONS`].
    pub fn check(&self) -> Result<()> {
        Self::CLASS.check(f64::from(self.class)).map_err(|error| error.with_context("--class"))?;
        Self::QUESTIONS
            .check(f64::from(self.questions))
            .map_err(|error| error.with_context("--questions"))?;
        Ok(())
    }

    /// Its name, printed on sheets and key: level, seed, sheets by questions.
    #[must_use]
    pub fn name(&self) -> String {
        format!("{}-{}-{}x{}", self.level.key(), self.seed, self.class, self.questions)
    }
}
