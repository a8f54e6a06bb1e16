//! A description varied: every number of it as a parameter, grids and random samples, tables on disk.
//!
//! Knows: descriptions and what is computed from them. Refuses to know: screens.
