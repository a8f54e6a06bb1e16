use crate::error::{Bounds, Error, Result};

use super::{FixtureKind, IsolatingTransformer};

/// A number of equal fixtures in the loop, each on its own isolating transformer.
///
/// Open and shorted count fixtures, that is secondaries. With several lamps in series on one
/// secondary, one lamp out opens the secondary and the others go dark with it.
#[derive(Clone, Debug, PartialEq)]
pub struct FixtureGroup {
    /// Name used in messages, tables and plots.
    pub name: String,
    /// Fixtures in the group, whatever their state.
    pub count: u32,
    /// Lamps, or electronic loads, in series on one secondary.
    pub lamps_per_fixture: u32,
    /// What each of them is.
    pub kind: FixtureKind,
    /// The transformer of each fixture.
    pub transformer: IsolatingTransformer,
    /// Fixtures whose secondary is open.
    pub open: u32,
    /// Fixtures whose secondary is shorted.
    pub shorted: u32,
}

impl FixtureGroup {
    /// Fixtures in a group.
    pub const COUNT: Bounds = Bounds::new("fixtures in the group", "", 1.0, 10_000.0);
    /// Lamps in series on one secondary.
    pub const LAMPS_PER_FIXTURE: Bounds = Bounds::new("lamps per fixture", "", 1.0, 20.0);

    /// A group of which every fixture is lit, one lamp or load on each secondary.
    ///
    /// # Errors
    /// As [`Self::check`].
    pub fn new(
        name: &str,
        count: u32,
        kind: FixtureKind,
        transformer: IsolatingTransformer,
    ) -> Result<Self> {
        let name = name.to_owned();
        let group =
            Self { name, count, lamps_per_fixture: 1, kind, transformer, open: 0, shorted: 0 };
        group.check()?;
        Ok(group)
    }

    /// The same group with so many secondaries open.
    ///
    /// # Errors
    /// As [`Self::check`].
    pub fn with_open(mut self, open: u32) -> Result<Self> {
        self.open = open;
        self.check()?;
        Ok(self)
    }

    /// The same group with so many secondaries shorted.
    ///
    /// # Errors
    /// As [`Self::check`].
    pub fn with_shorted(mut self, shorted: u32) -> Result<Self> {
        self.shorted = shorted;
        self.check()?;
        Ok(self)
    }

    /// The same group with so many lamps in series on each secondary.
    ///
    /// # Errors
    /// As [`Self::check`].
    pub fn with_lamps_per_fixture(mut self, lamps_per_fixture: u32) -> Result<Self> {
        self.lamps_per_fixture = lamps_per_fixture;
        self.check()?;
        Ok(self)
    }

    /// Checks every value; the message names the group.
    ///
    /// # Errors
    /// `OutOfRange` for a value out of bounds; `Inconsistent` for more fixtures out than there are.
    pub fn check(&self) -> Result<()> {
        self.check_values()
            .map_err(|error| error.with_context(format!("fixture group \"{}\"", self.name)))
    }

    fn check_values(&self) -> Result<()> {
        Self::COUNT.check(f64::from(self.count))?;
        Self::LAMPS_PER_FIXTURE.check(f64::from(self.lamps_per_fixture))?;
        self.kind.check()?;
        self.transformer.check()?;
        let (open, shorted, count) = (self.open, self.shorted, self.count);
        if u64::from(open) + u64::from(shorted) > u64::from(count) {
            return Err(Error::inconsistent(format!(
                "{open} fixtures open and {shorted} shorted are more than the {count} there are"
            ))
            .with_hint("open and shorted count fixtures, not lamps"));
        }
        Ok(())
    }

    /// Fixtures that are neither open nor shorted.
    #[must_use]
    pub fn lit(&self) -> u32 {
        self.count.saturating_sub(self.open).saturating_sub(self.shorted)
    }

    /// Resistance of one lit fixture on the secondary side, at an RMS current there.
    #[must_use]
    pub fn secondary_ohm(&self, secondary_rms_a: f64) -> f64 {
        f64::from(self.lamps_per_fixture) * self.kind.resistance_ohm(secondary_rms_a)
    }

    /// The same seen from the loop.
    ///
    /// # Formula
    /// R n², n primary over secondary turns
    #[must_use]
    pub fn primary_ohm(&self, secondary_rms_a: f64) -> f64 {
        let turns = self.transformer.turns_ratio();
        turns * turns * self.secondary_ohm(secondary_rms_a)
    }
}
