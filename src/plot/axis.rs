/// One division of an axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Tick {
    /// Where it stands, in the axis's unit.
    pub at: f64,
    /// What is written there; more than one line is allowed.
    pub text: String,
    /// Whether the axis's lines across the panel include this division.
    pub line: bool,
}

/// One axis of a panel: what it shows, in which unit, from where to where.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// What is shown, in words.
    pub label: String,
    /// Its unit; empty only for an axis of names.
    pub unit: String,
    /// Left or lower end.
    pub from: f64,
    /// Right or upper end.
    pub to: f64,
    /// The divisions.
    pub ticks: Vec<Tick>,
    /// Whether the divisions are names instead of numbers.
    pub named: bool,
    /// Whether lines are drawn across the panel at the divisions.
    pub grid: bool,
}

impl Axis {
    /// An axis of numbers with about `count` divisions at round numbers.
    #[must_use]
    pub fn numbers(label: &str, unit: &str, from: f64, to: f64, count: usize) -> Self {
        Self {
            label: label.to_owned(),
            unit: unit.to_owned(),
            from,
            to,
            ticks: super::ticks::round_ticks(from, to, count),
            named: false,
            grid: true,
        }
    }

    /// An axis of names; name k stands at k, with half a place to spare at both ends.
    #[must_use]
    pub fn names(label: &str, unit: &str, names: Vec<String>) -> Self {
        let to = names.len() as f64 - 0.5;
        let tick = |(at, text): (usize, String)| Tick { at: at as f64, text, line: true };
        Self {
            label: label.to_owned(),
            unit: unit.to_owned(),
            from: -0.5,
            to,
            ticks: names.into_iter().enumerate().map(tick).collect(),
            named: true,
            grid: false,
        }
    }

    /// No axis at all: room between two ends that stands for nothing.
    #[must_use]
    pub fn bare(from: f64, to: f64) -> Self {
        Self {
            label: String::new(),
            unit: String::new(),
            from,
            to,
            ticks: Vec::new(),
            named: true,
            grid: false,
        }
    }

    /// The same axis without lines across the panel.
    #[must_use]
    pub fn without_grid(mut self) -> Self {
        self.grid = false;
        self
    }

    /// "time in ms", or the label alone for names without a unit.
    #[must_use]
    pub fn title(&self) -> String {
        if self.unit.is_empty() {
            self.label.clone()
        } else {
            format!("{} in {}", self.label, self.unit)
        }
    }

    /// Place of a value along the axis: 0 at its beginning, 1 at its end, never beyond.
    #[must_use]
    pub fn place(&self, value: f64) -> f64 {
        ((value - self.from) / (self.to - self.from)).clamp(0.0, 1.0)
    }

    /// Whether the axis says what its numbers are.
    #[must_use]
    pub fn speaks(&self) -> bool {
        self.named || (!self.label.is_empty() && !self.unit.is_empty())
    }
}
