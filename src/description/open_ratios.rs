use std::collections::BTreeMap;

use crate::series::Field;

/// Shares of the fixtures that are open, in place of those the field counts. Parts of fixtures are
/// allowed: a share moves smoothly.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OpenRatios {
    /// Share of every group that has none of its own.
    pub every: Option<f64>,
    /// Shares of single groups, by their place in the field.
    pub groups: BTreeMap<usize, f64>,
}

impl OpenRatios {
    /// The share of each group of a field; `None` where it is as the field counts it.
    #[must_use]
    pub fn of_groups(&self, field: &Field) -> Vec<Option<f64>> {
        let share = |at| self.groups.get(&at).copied().or(self.every);
        (0..field.groups.len()).map(share).collect()
    }

    /// Share of all fixtures of a field that are open then.
    #[must_use]
    pub fn of_all(&self, field: &Field) -> f64 {
        let shares = self.of_groups(field).into_iter();
        let open = field.groups.iter().zip(shares).map(|(group, share)| match share {
            Some(ratio) => ratio * f64::from(group.count),
            None => f64::from(group.open),
        });
        open.sum::<f64>() / f64::from(field.fixtures().max(1))
    }
}
