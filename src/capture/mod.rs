//! Files from instruments: read what a scope or logger wrote, find the mains period in it, cut whole
//! periods.
//!
//! Knows: the formats by their content (delimited text, COMTRADE, WAV, NumPy), how delimited text is
//! laid out (header, metadata, units, separator, decimal mark, time
//! column or none), which rows carry no value, what the time stamps are worth, where the current is
//! steady, its frequency, and how to bring whole periods onto a uniform grid. Refuses to know:
//! meters, bands, verdicts, harmonics beyond what the interpolation needs.
//!
//! Conventions: columns and rows are counted from 1 as people count them, rows from the first row
//! of data, lines from the top of the file; samples are counted from 0. A sample that the file does
//! not give is a gap: it keeps its place on the time axis, is never replaced, and no window is cut
//! across it. Every format ends in a [`Record`] of channels; [`Record::current`] turns one channel
//! into amperes; [`Samples::cut`] makes the [`Waveform`](crate::waveform::Waveform).
//! Whatever was decided on the way is a [`Note`](crate::error::Note).

mod array_layout;
mod axis;
mod block;
mod cells;
mod channel;
mod channel_options;
mod channel_scale;
mod column_choice;
mod comtrade;
mod current;
mod cut;
mod cut_options;
mod decode;
mod detect;
mod drift;
mod events;
mod file_layout;
mod format;
mod frequency;
mod full_scale;
mod harmonic_fit;
mod header;
mod layout;
mod limits;
mod line_reader;
mod moment;
mod npy;
mod number;
mod packed;
mod periods;
mod problem;
mod read;
mod read_options;
mod record;
mod recorded;
mod resample;
mod rows;
mod samples;
mod sound_layout;
mod stamps;
mod steady;
mod stream;
mod stretch;
mod table;
mod text;
mod time_column;
mod timing;
mod wav;

pub use array_layout::ArrayLayout;
pub use channel::Channel;
pub use channel_options::ChannelOptions;
pub use channel_scale::{ChannelScale, Side};
pub use column_choice::ColumnChoice;
pub use comtrade::{
    DataKind, Revision, TransientChannel, TransientFile, TransientLayout, read_two_parts,
};
pub use cut::Cut;
pub use cut_options::CutOptions;
pub use decode::Encoding;
pub use events::{Event, EventKind};
pub use file_layout::FileLayout;
pub use format::Format;
pub use full_scale::FullScale;
pub use layout::{DecimalMark, Layout, Separator};
pub use limits::Limits;
pub use periods::{
    AveragedPeriod, Bucket, CycleWindow, Envelope, HalfCycle, HarmonicGroups, PeriodAnalyser,
    PeriodOptions, PeriodRow, PeriodSink, PeriodStart, PeriodTable, RecordSummary, RmsUncertainty,
    SteadyPart,
};
pub use problem::{RowProblem, RowProblemKind};
pub use read::{read_bytes, read_file};
pub use read_options::ReadOptions;
pub use record::Record;
pub use recorded::{Recorded, said_before};
pub use samples::Samples;
pub use sound_layout::SoundLayout;
pub use stream::SampleStream;
pub use stretch::Stretch;
pub use time_column::TimeColumn;
pub use timing::{Timing, TimingSource};
