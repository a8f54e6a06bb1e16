use super::Ink;

use crate::meter::{Detector, Indication};
use crate::waveform::Coupling;

/// The outline of a mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Marker {
    /// A disc.
    Circle,
    /// A square on its side.
    Square,
    /// A triangle pointing up.
    Triangle,
    /// A triangle pointing down.
    Wedge,
    /// A square on its corner.
    Diamond,
    /// A hexagon.
    Hexagon,
    /// An upright bar.
    Upright,
    /// A bar lying down.
    Lying,
}

/// Whether a mark is full, half full or only an outline.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Face {
    /// Filled.
    Full,
    /// Outline, the lower half filled.
    Half,
    /// Outline on the background.
    Open,
}

impl Marker {
    /// The mark of a detector law, the same in every figure.
    #[must_use]
    pub fn of(detector: Detector) -> Self {
        match detector {
            Detector::TrueRms(Coupling::Ac) => Self::Circle,
            Detector::TrueRms(Coupling::Dc) => Self::Hexagon,
            Detector::AverageResponding(Coupling::Ac) => Self::Square,
            Detector::AverageResponding(Coupling::Dc) => Self::Diamond,
            Detector::PeakResponding(Coupling::Ac) => Self::Triangle,
            Detector::PeakResponding(Coupling::Dc) => Self::Wedge,
            Detector::MovingIron => Self::Upright,
            Detector::RectifierMovingCoil => Self::Lying,
        }
    }

    /// The corners around the origin for a mark of radius 1; `None` for the circle.
    pub(super) fn corners(self) -> Option<Vec<(f64, f64)>> {
        const H: f64 = 0.866_025_403_784;
        match self {
            Self::Circle => None,
            Self::Square => Some(vec![(-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9)]),
            Self::Triangle => Some(vec![(0.0, -1.15), (1.1, 0.8), (-1.1, 0.8)]),
            Self::Wedge => Some(vec![(0.0, 1.15), (1.1, -0.8), (-1.1, -0.8)]),
            Self::Diamond => Some(vec![(0.0, -1.25), (1.25, 0.0), (0.0, 1.25), (-1.25, 0.0)]),
            Self::Hexagon => {
                Some(vec![(-1.1, 0.0), (-0.55, -H), (0.55, -H), (1.1, 0.0), (0.55, H), (-0.55, H)])
            }
            Self::Upright => Some(vec![(-0.55, -1.2), (0.55, -1.2), (0.55, 1.2), (-0.55, 1.2)]),
            Self::Lying => Some(vec![(-1.2, -0.55), (1.2, -0.55), (1.2, 0.55), (-1.2, 0.55)]),
        }
    }
}

impl Ink {
    /// The colour of what a meter shows, the same in every figure.
    #[must_use]
    pub fn of(indication: Indication) -> Self {
        match indication {
            Indication::TrueRms => Self::TrueRms,
            Indication::AverageScaledToRms => Self::Average,
            Indication::PeakScaledToRms => Self::Peak,
        }
    }
}
