use crate::procedure::entry::Output;

/// Why a regulator is due on a day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DueCause {
    /// The interval since the last visit has gone by.
    Interval,
    /// The day was entered when the last visit was closed.
    Entered {
        /// Number of that visit.
        visit: u64,
    },
    /// By its drift a step will be doubtful then.
    Drift {
        /// Number of the brightness step.
        step: u32,
        /// What the output is connected to.
        output: Output,
    },
    /// A step was left outside its band.
    LeftOutside {
        /// Number of the brightness step.
        step: u32,
        /// What the output is connected to.
        output: Output,
        /// The number it was left at, with its unit.
        shown: String,
    },
    /// A step was doubtful when it was last read, or not accepted.
    LeftDoubtful {
        /// Number of the brightness step.
        step: u32,
        /// What the output is connected to.
        output: Output,
    },
    /// The meter of its last visit was found wrong, and a reading that was taken for right was not.
    MeterWrong {
        /// The meter.
        meter: String,
    },
    /// It was never gone through to its end.
    NeverDone,
}
