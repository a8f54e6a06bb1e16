//! Numbers that only a training figure asks for.

pub(super) mod bandwidth;
pub(super) mod crest_limit;
pub(super) mod drift;
pub(super) mod light_and_life;
pub(super) mod range_bottom;
pub(super) mod same_thd;
