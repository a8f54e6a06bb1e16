use super::{Field, FieldFault};

/// How many fixtures of a group are in which state; parts of fixtures are allowed, so that a share
/// can be moved smoothly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Occupancy {
    pub(super) lit: f64,
    pub(super) open: f64,
    pub(super) shorted: f64,
}

impl Occupancy {
    /// The groups of a field as they are counted.
    pub(super) fn of(field: &Field) -> Vec<Self> {
        let groups = field.groups.iter();
        groups
            .map(|group| Self {
                lit: f64::from(group.lit()),
                open: f64::from(group.open),
                shorted: f64::from(group.shorted),
            })
            .collect()
    }

    pub(super) fn total(self) -> f64 {
        self.lit + self.open + self.shorted
    }

    /// The same fixtures with a share of all of them open; those shorted stay so as far as they can.
    pub(super) fn with_open_ratio(self, open_ratio: f64) -> Self {
        let total = self.total();
        let open = open_ratio * total;
        let shorted = self.shorted.min(total - open);
        Self { lit: (total - open - shorted).max(0.0), open, shorted }
    }

    fn times(self, share: f64) -> Self {
        Self { lit: share * self.lit, open: share * self.open, shorted: share * self.shorted }
    }
}

/// The fixtures on the two sides of a partial short, and the share of the cable that is bypassed.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Split {
    pub(super) carrying: Vec<Occupancy>,
    pub(super) bypassed: Vec<Occupancy>,
    pub(super) cable_bypassed_ratio: f64,
}

impl Split {
    /// Everything carries the loop's current unless a partial short bypasses it.
    ///
    /// Whole fixtures lie between the places; which of them are the open ones is not known, so
    /// those are spread evenly over their group.
    pub(super) fn of(occupancy: Vec<Occupancy>, fault: Option<&FieldFault>) -> Self {
        let Some(FieldFault::PartialShort { from_ratio, to_ratio, .. }) = fault else {
            return Self { carrying: occupancy, bypassed: Vec::new(), cable_bypassed_ratio: 0.0 };
        };
        let total: f64 = occupancy.iter().map(|group| group.total()).sum();
        // A fixture sits in the middle of its part of the way.
        let before = |place: f64| (place * total - 0.5).ceil().max(0.0);
        let (first, last) = (before(*from_ratio), before(*to_ratio));
        let mut start = 0.0;
        let (mut carrying, mut bypassed) = (Vec::new(), Vec::new());
        for group in occupancy {
            let count = group.total();
            let between = (last.min(start + count) - first.max(start)).max(0.0);
            let share = if count > 0.0 { between / count } else { 0.0 };
            carrying.push(group.times(1.0 - share));
            bypassed.push(group.times(share));
            start += count;
        }
        Self { carrying, bypassed, cable_bypassed_ratio: to_ratio - from_ratio }
    }
}
