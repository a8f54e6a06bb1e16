//! Records of any size, read piece by piece.
//!
//! Knows: how to hand out the current of a file in blocks of samples while holding only a few
//! megabytes of it. Refuses to know: periods, events.
//!
//! Conventions: a small file is read as a whole by the one reader there is; a large text is
//! understood from its beginning by that same reader and then read row by row; of other large files a
//! few rows at a time are read as records of their own. So all ways give the same samples. A gap is a
//! NaN in the block and keeps its place in time.

mod block_source;
mod part_source;
mod row;
mod row_parts;
mod sample_stream;
mod text_source;
mod whole_source;

pub use sample_stream::SampleStream;
