//! What happens in a record: changes of the current, and signs that the record cannot be trusted.
//!
//! Knows: how changes show in the one-cycle RMS of half cycles, how a converter's rails, a rate that
//! is too low, lines that are folded back and a clamp's zero show in the samples. Refuses to know:
//! files, steps, verdicts.
//!
//! Conventions: times are in seconds after the first sample; the time of a change is known to half a
//! period. A threshold is ours unless its source is named, and stands beside its reason. What cannot
//! be told from something harmless is "suspected" and says so.

mod band_watch;
mod event;
mod event_kind;
mod level;
mod level_change;
mod level_watch;
mod rail_watch;

pub(super) use band_watch::BandWatch;
pub use event::Event;
pub use event_kind::EventKind;
pub(super) use level_watch::LevelWatch;
pub(super) use rail_watch::RailWatch;
