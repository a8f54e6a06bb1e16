//! Figures drawn for a classroom only.

mod bandwidth;
mod crest_limit;
mod frame;
mod lamp_power;
mod light_and_life;
mod range_bottom;
mod same_thd;
mod sign_change;
mod steps_and_loads;

pub use bandwidth::{BandwidthCurve, bandwidth_figure};
pub use crest_limit::{CrestPoint, crest_limit_figure};
pub use frame::frame_figure;
pub use lamp_power::lamp_power_figure;
pub use light_and_life::{SetByMeter, light_and_life_figure};
pub use range_bottom::{RangeBottomStep, range_bottom_figure};
pub use same_thd::{SameThdCase, same_thd_figure};
pub use sign_change::sign_change_figure;
pub use steps_and_loads::{GridCell, GridRow, steps_and_loads_figure};

use super::{Face, Ink, Item, Marker};

/// A full mark at a place.
fn mark(at: (f64, f64), marker: Marker, ink: Ink, face: Face, radius_px: f64) -> Item {
    Item::Mark { at, offset_px: (0.0, 0.0), marker, ink, face, radius_px }
}
