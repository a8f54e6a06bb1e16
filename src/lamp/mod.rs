//! Light and life of an incandescent lamp from its RMS current.
//!
//! Knows: power laws and where they stop being credible. Refuses to know: meters, regulators.
//! Convention: ratios against the lamp at a reference current; a life outside the law's range is
//! said in words, never as a number.

mod effect;
mod law;

pub use effect::{LampEffect, LifeChange};
pub use law::LampLaw;
