//! The field: what a series circuit is made of, and what it asks of the regulator.
//!
//! Knows: cable, isolating transformers, lamps, lamps out, load and voltage. Refuses to know: meters.
