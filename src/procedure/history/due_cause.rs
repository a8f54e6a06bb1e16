use crate::procedure::entry::Output;

/// Why a regulator is due on a day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DueCause {
    /// The interval since the last visit has gone by.
    Interval,
    /// By its drift a step will be doubtful then.
    Drift {
        /// Number of the brightness step.
        step: u32,
        /// What the output is connected to.
        output: Output,
    },
    /// A step was doubtful when it was last read.
    LeftDoubtful {
        /// Number of the brightness step.
        step: u32,
        /// What the output is connected to.
        output: Output,
    },
    /// It was never gone through to its end.
    NeverDone,
}
