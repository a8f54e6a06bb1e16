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

/// What of an axis is written; the rest stands at a neighbouring panel with the same axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AxisShows {
    /// Everything.
    TitleAndNumbers,
    /// The numbers only.
    Numbers,
    /// Nothing: only its line is drawn.
    Nothing,
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
    /// What of it is written.
    pub shows: AxisShows,
    /// Whether equal lengths are equal ratios; both ends are then above zero.
    pub logarithmic: bool,
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
            shows: AxisShows::TitleAndNumbers,
            logarithmic: false,
        }
    }

    /// An axis of numbers on which equal lengths are equal ratios, with divisions at given numbers.
    #[must_use]
    pub fn ratios(label: &str, unit: &str, from: f64, to: f64, at: &[f64]) -> Self {
        let mut axis = Self::numbers(label, unit, from, to, 1);
        axis.ticks = super::ticks::at(at.iter().copied(), 0);
        axis.logarithmic = true;
        axis
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
            shows: AxisShows::TitleAndNumbers,
            logarithmic: false,
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
            shows: AxisShows::TitleAndNumbers,
            logarithmic: false,
        }
    }

    /// The same axis without lines across the panel.
    #[must_use]
    pub fn without_grid(mut self) -> Self {
        self.grid = false;
        self
    }

    /// The same axis, its title and numbers left to a neighbouring panel.
    #[must_use]
    pub fn shared(mut self) -> Self {
        self.shows = AxisShows::Nothing;
        self
    }

    /// The same axis, its title left to a neighbouring panel.
    #[must_use]
    pub fn untitled(mut self) -> Self {
        self.shows = AxisShows::Numbers;
        self
    }

    /// The name that stands at a place; `None` on an axis of numbers.
    #[must_use]
    pub fn name_at(&self, value: f64) -> Option<&str> {
        let in_order =
            self.ticks.iter().enumerate().all(|(k, tick)| (tick.at - k as f64).abs() < 1e-9);
        if !self.named || self.ticks.is_empty() || !in_order {
            return None;
        }
        let near =
            self.ticks.iter().min_by(|a, b| (a.at - value).abs().total_cmp(&(b.at - value).abs()));
        near.map(|tick| tick.text.as_str())
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
        let part = if self.logarithmic {
            (value.max(f64::MIN_POSITIVE) / self.from).ln() / (self.to / self.from).ln()
        } else {
            (value - self.from) / (self.to - self.from)
        };
        part.clamp(0.0, 1.0)
    }

    /// Whether the axis says what its numbers are.
    #[must_use]
    pub fn speaks(&self) -> bool {
        self.named || (!self.label.is_empty() && !self.unit.is_empty())
    }
}
