use crate::regulator::Step;

/// A scale around the nominal of a step, drawn with letters: band, nominal and marks.
#[derive(Clone, Debug, PartialEq)]
pub struct Scale {
    /// The scale itself, as wide as asked for.
    pub line: String,
    /// What its ends mean.
    pub ends: (String, String),
}

impl Scale {
    /// How far the scale reaches beyond the nominal, either way.
    pub const REACH_RATIO: f64 = 0.10;
    /// Two marks at one place.
    pub const BOTH: char = '*';

    /// A scale of so many characters with marks at currents; a mark beyond an end stands at it as an
    /// arrow.
    ///
    /// `[` and `]` are the edges of the band, `|` the nominal.
    #[must_use]
    pub fn new(step: &Step, marks: &[(char, f64)], width: usize) -> Self {
        let nominal_a = step.nominal.a();
        let (low_a, high_a) =
            (nominal_a * (1.0 - Self::REACH_RATIO), nominal_a * (1.0 + Self::REACH_RATIO));
        let last = width.max(3) - 1;
        let place = |a: f64| {
            let along = ((a - low_a) / (high_a - low_a)).clamp(0.0, 1.0);
            (along * last as f64).round() as usize
        };
        let mut line = vec!['-'; last + 1];
        line[place(nominal_a)] = '|';
        let band = (place(step.band.low_a()), place(step.band.high_a()));
        line[band.0..=band.1].iter_mut().filter(|c| **c == '-').for_each(|c| *c = '=');
        line[band.0] = '[';
        line[band.1] = ']';
        let mut taken = vec![false; last + 1];
        for (letter, a) in marks {
            let at = place(*a);
            line[at] = if *a < low_a {
                '<'
            } else if *a > high_a {
                '>'
            } else if taken[at] {
                Self::BOTH
            } else {
                *letter
            };
            taken[at] = true;
        }
        Self {
            line: line.into_iter().collect(),
            ends: (format!("{low_a:.2} A"), format!("{high_a:.2} A")),
        }
    }
}
