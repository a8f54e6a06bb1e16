//! A demonstration: step, load, lamps out and meter are turned one by one, and everything that comes of
//! it is put in words.
//!
//! Knows: which choices there are and the next of each, what is said about a situation, where marks lie
//! on a scale. Refuses to know: keys, screens, colours.
//!
//! Conventions: every number comes from `situation` and is worded as `report` words it elsewhere.

mod choices;
mod scale;
mod view;

pub use choices::{Choice, Choices, Turn};
pub use scale::Scale;
pub use view::View;
