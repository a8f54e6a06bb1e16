//! Figures drawn for a classroom only.

mod lamp_power;
mod same_thd;
mod sign_change;

pub use lamp_power::lamp_power_figure;
pub use same_thd::{SameThdCase, same_thd_figure};
pub use sign_change::sign_change_figure;
