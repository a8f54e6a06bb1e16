//! Shapes of failure, of findings that are not failures, and of allowed ranges.
//!
//! Knows: what went wrong, where, with which value and what the person can do next.
//! Refuses to know: physics, files' contents, screens. A limit that fails is a verdict and never
//! passes through here; a non-fatal finding is a [`Note`] that travels with the value it concerns.
//!
//! Conventions: one [`Error`] for the whole library, sorted by what the person does next
//! ([`ErrorKind`]); ranges are declared once as [`Bounds`] beside the type they guard and feed the
//! check, the message and the help text; context is added going up and printed outermost first.

mod bounds;
mod failure;
mod kind;
mod noted;
mod place;

pub use bounds::Bounds;
pub use failure::{Error, Result};
pub use kind::ErrorKind;
pub use noted::{Note, Noted};
pub use place::Place;
