//! Pages: a text with tables and figures, set once and written as HTML and as PDF.
//!
//! Knows: how blocks become lines and pages, how both files are written. Refuses to know: what the
//! text is about.
//!
//! Conventions: a [`Writing`] is made of [`Part`]s, each on sheets of its own with its own page
//! numbers; places are in points of 1/72 inch from the upper left corner of the sheet, y downwards,
//! a text's place is the left end of its baseline. Pages are grey; only figures have colour. What is
//! not known is a [`Cell::Absent`] that says so. The files hold no clock and no chance: the same
//! writing gives the same bytes.

mod blank;
mod block;
mod cell;
mod column;
mod compose;
mod deck;
mod fact;
mod frame;
mod html;
mod look;
mod mark;
mod paper_size;
mod part;
mod pdf;
mod picture;
mod sheet;
mod slide_layout;
mod style;
mod table;
mod table_layout;
mod text_lines;
mod writing;

pub use blank::Blank;
pub use block::Block;
pub use cell::Cell;
pub use column::{Align, Column};
pub use deck::{Deck, Slide, SlideLine};
pub use fact::Fact;
pub use frame::Frame;
pub use mark::Mark;
pub use paper_size::PaperSize;
pub use part::Part;
pub use picture::Picture;
pub use sheet::Sheet;
pub use table::{RowHeight, Table};
pub use writing::Writing;
