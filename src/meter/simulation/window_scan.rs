//! The mean over a window of fixed length, wherever it begins.

/// The lowest and the highest mean a window can have, and where they begin.
#[derive(Clone, Copy, Debug)]
pub(super) struct WindowScan {
    pub(super) lowest: f64,
    pub(super) highest: f64,
    pub(super) lowest_start: usize,
    pub(super) highest_start: usize,
}

/// Running sums of values that repeat for ever.
#[derive(Debug)]
pub(super) struct Running {
    /// Sum of the first k values, k from 0 to all of them.
    sums: Vec<f64>,
    length: f64,
}

impl Running {
    /// The running sums of values, for windows of `length` values (not a whole number, as a rule).
    pub(super) fn new(values: impl Iterator<Item = f64>, length: f64) -> Self {
        let mut sums = vec![0.0];
        let mut sum = 0.0;
        sums.extend(values.map(|value| {
            sum += value;
            sum
        }));
        Self { sums, length }
    }

    fn count(&self) -> usize {
        self.sums.len() - 1
    }

    fn total(&self) -> f64 {
        self.sums[self.count()]
    }

    /// The mean over the window that begins at a place (in values, fractions count).
    pub(super) fn mean_from(&self, start: f64) -> f64 {
        (self.up_to(start + self.length) - self.up_to(start)) / self.length
    }

    /// The sum from the beginning to a place; a value counts by the part of its cell.
    fn up_to(&self, place: f64) -> f64 {
        let count = self.count();
        let turns = (place / count as f64).floor();
        let within = place - turns * count as f64;
        let cell = (within.floor() as usize).min(count - 1);
        let part = within - cell as f64;
        let value = self.sums[cell + 1] - self.sums[cell];
        turns * self.total() + self.sums[cell] + part * value
    }

    /// Tries every cell's edge as the beginning.
    ///
    /// # Validity
    /// Between two edges the mean is piecewise linear, with one more corner where the end passes an
    /// edge: what is missed is of the order of 1/N² (`exact_window_of_a_sine`).
    pub(super) fn scan(&self) -> WindowScan {
        let count = self.count();
        let turns = (self.length / count as f64).floor();
        let rest = self.length - turns * count as f64;
        let cells = (rest.floor() as usize).min(count - 1);
        let part = rest - cells as f64;
        let whole = turns * self.total();
        let mut scan = WindowScan {
            lowest: f64::INFINITY,
            highest: f64::NEG_INFINITY,
            lowest_start: 0,
            highest_start: 0,
        };
        for start in 0..count {
            let end = start + cells;
            let (end, carry) = if end >= count { (end - count, self.total()) } else { (end, 0.0) };
            let value = self.sums[end + 1] - self.sums[end];
            let sum = whole + carry + self.sums[end] - self.sums[start] + part * value;
            if sum < scan.lowest {
                (scan.lowest, scan.lowest_start) = (sum, start);
            }
            if sum > scan.highest {
                (scan.highest, scan.highest_start) = (sum, start);
            }
        }
        scan.lowest /= self.length;
        scan.highest /= self.length;
        scan
    }
}
