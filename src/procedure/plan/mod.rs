//! The procedure as data: which stages, which items in them, in which order, and what must hold
//! before each.
//!
//! Knows: the file format (TOML, format number 1), its checks, what comes next in a visit. Refuses
//! to know: who asks, on what.
//!
//! Conventions: an item is named by its key everywhere, in files, entries and messages; a
//! precondition is an earlier item; the wording is our own, taken from no maker's manual.

mod finding_kind;
mod item;
mod item_kind;
mod next;
mod order;
mod procedure;
mod raw;
mod reader;
mod stage;
mod still;

pub use finding_kind::FindingKind;
pub use item::Item;
pub use item_kind::ItemKind;
pub use next::Next;
pub use procedure::Procedure;
pub use stage::Stage;
pub(super) use still::last_answer;
