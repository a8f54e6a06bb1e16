use crate::error::{Error, Result};

use super::{CableRun, FieldFault, FixtureGroup};

/// The field of a series circuit as plain data: groups in their order around the loop, cable, and
/// at most one fault.
///
/// The fields are open so that a description can be read completely first; [`Field::check`] judges
/// it, and everything that takes a field calls it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Field {
    /// Fixture groups in their order around the loop.
    pub groups: Vec<FixtureGroup>,
    /// Lengths of cable.
    pub cable: Vec<CableRun>,
    /// A short in the field.
    pub fault: Option<FieldFault>,
}

impl Field {
    /// Checks every value of every part.
    ///
    /// # Errors
    /// As the parts' own checks; `Inconsistent` for a name used twice and for a field without
    /// anything in it.
    pub fn check(&self) -> Result<()> {
        self.groups.iter().try_for_each(FixtureGroup::check)?;
        self.cable.iter().try_for_each(CableRun::check)?;
        if let Some(fault) = &self.fault {
            fault.check().map_err(|error| error.with_context("fault in the field"))?;
        }
        let mut names: Vec<&str> = self.groups.iter().map(|group| group.name.as_str()).collect();
        names.sort_unstable();
        if let Some(pair) = names.windows(2).find(|pair| pair[0] == pair[1]) {
            let name = pair[0];
            return Err(Error::inconsistent(format!("two fixture groups are called \"{name}\"")));
        }
        if self.groups.is_empty() && self.cable.is_empty() && self.fault.is_none() {
            return Err(Error::inconsistent("the field has no fixtures and no cable")
                .with_hint("add a fixture group, a length of cable, or the output short"));
        }
        Ok(())
    }

    /// The same field with the output shorted.
    #[must_use]
    pub fn shorted(mut self) -> Self {
        self.fault = Some(FieldFault::OutputShort);
        self
    }

    /// All fixtures.
    #[must_use]
    pub fn fixtures(&self) -> u32 {
        self.groups.iter().map(|group| group.count).sum()
    }

    /// Fixtures whose secondary is open.
    #[must_use]
    pub fn open_fixtures(&self) -> u32 {
        self.groups.iter().map(|group| group.open).sum()
    }

    /// Fixtures whose secondary is shorted.
    #[must_use]
    pub fn shorted_fixtures(&self) -> u32 {
        self.groups.iter().map(|group| group.shorted).sum()
    }

    /// Resistance of all the cable at its temperatures.
    #[must_use]
    pub fn cable_ohm(&self) -> f64 {
        0.0 + self.cable.iter().map(CableRun::resistance_ohm).sum::<f64>()
    }

    /// Length of all the cable.
    #[must_use]
    pub fn cable_m(&self) -> f64 {
        0.0 + self.cable.iter().map(|run| run.length_m).sum::<f64>()
    }
}
