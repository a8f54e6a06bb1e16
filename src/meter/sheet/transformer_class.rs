use std::f64::consts::PI;

use super::{ClampLimit, ClassPoint};

/// Accuracy class of a current transformer: limits of error by share of the rated current.
///
/// # Source
/// IEC 61869-2, as quoted elsewhere. Class 1: 3, 1.5, 1 and 1 % at 5, 20, 100 and 120 % of rated
/// current, phase 180, 90, 60 and 60 minutes; class 0.5: 1.5, 0.75, 0.5 and 0.5 %, phase 90, 45, 30
/// and 30 minutes; class 3: 3 % at 50 and 120 %, phase not limited.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum TransformerClass {
    /// Class 0.5.
    Half,
    /// Class 1.
    One,
    /// Class 3.
    Three,
}

/// One minute of arc.
const MINUTE_RAD: f64 = PI / (180.0 * 60.0);

const fn point(percent: f64, error_percent: f64, minutes: f64) -> ClassPoint {
    ClassPoint {
        share_ratio: percent / 100.0,
        error_ratio: error_percent / 100.0,
        phase_rad: Some(minutes * MINUTE_RAD),
    }
}

const fn without_phase(percent: f64, error_percent: f64) -> ClassPoint {
    ClassPoint { share_ratio: percent / 100.0, error_ratio: error_percent / 100.0, phase_rad: None }
}

const HALF: [ClassPoint; 4] = [
    point(5.0, 1.5, 90.0),
    point(20.0, 0.75, 45.0),
    point(100.0, 0.5, 30.0),
    point(120.0, 0.5, 30.0),
];
const ONE: [ClassPoint; 4] = [
    point(5.0, 3.0, 180.0),
    point(20.0, 1.5, 90.0),
    point(100.0, 1.0, 60.0),
    point(120.0, 1.0, 60.0),
];
const THREE: [ClassPoint; 2] = [without_phase(50.0, 3.0), without_phase(120.0, 3.0)];

impl TransformerClass {
    /// Every class, from the best.
    pub const ALL: [Self; 3] = [Self::Half, Self::One, Self::Three];

    /// The table of the class, from the lowest current.
    #[must_use]
    pub fn points(self) -> &'static [ClassPoint] {
        match self {
            Self::Half => &HALF,
            Self::One => &ONE,
            Self::Three => &THREE,
        }
    }

    /// The limit at a share of the rated current.
    ///
    /// # Formula
    /// Between two points of the table: linear in the current. Outside: the error in amperes of the
    /// nearest point is kept, so that the ratio grows as 1 / current below and the ratio is kept
    /// above.
    ///
    /// # Validity
    /// The class sets limits at the points of its table only. What lies between and outside is our
    /// own rule, no source; `is_within_table` tells which.
    #[must_use]
    pub fn limit(self, share_ratio: f64) -> ClampLimit {
        let points = self.points();
        let (first, last) = (points[0], points[points.len() - 1]);
        if share_ratio < first.share_ratio {
            let growth = first.share_ratio / share_ratio.max(f64::MIN_POSITIVE);
            return ClampLimit {
                error_ratio: first.error_ratio * growth,
                phase_rad: first.phase_rad.map(|phase_rad| phase_rad * growth),
                is_within_table: false,
            };
        }
        for pair in points.windows(2) {
            if share_ratio <= pair[1].share_ratio {
                return between(pair[0], pair[1], share_ratio);
            }
        }
        ClampLimit {
            error_ratio: last.error_ratio,
            phase_rad: last.phase_rad,
            is_within_table: false,
        }
    }

    /// The name used in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Half => "0.5",
            Self::One => "1",
            Self::Three => "3",
        }
    }

    /// The class with that name.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|class| class.key() == key)
    }
}

fn between(low: ClassPoint, high: ClassPoint, share_ratio: f64) -> ClampLimit {
    let part = (share_ratio - low.share_ratio) / (high.share_ratio - low.share_ratio);
    // Weighting both ends gives the printed limits exactly at the points.
    let mixed = |a: f64, b: f64| a * (1.0 - part) + b * part;
    ClampLimit {
        error_ratio: mixed(low.error_ratio, high.error_ratio),
        phase_rad: low.phase_rad.zip(high.phase_rad).map(|(a, b)| mixed(a, b)),
        is_within_table: true,
    }
}
