//! Numbers that only a training figure asks for.

pub(super) mod same_thd;
