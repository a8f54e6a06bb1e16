/// How a command ended, when it ended well.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Outcome {
    /// Everything asked for was done.
    Done,
    /// A verdict that was asked for is not "fit" or not "in band".
    VerdictAgainst,
    /// Everything is right but for a danger to people that stands.
    Danger,
    /// Someone stopped it; what is there can be gone on from.
    Interrupted,
    /// Some files of a folder could not be read; the others are done.
    SomeFailed,
}

impl Outcome {
    /// The exit code of [`Self::Interrupted`], as of a program that Ctrl-C ended.
    pub(super) const INTERRUPTED_CODE: u8 = 130;
}
