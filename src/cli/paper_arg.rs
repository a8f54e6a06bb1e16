use clap::ValueEnum;

use crate::report::paper::PaperSize;

/// A size of paper.
#[derive(Clone, Copy, Debug, Default, ValueEnum)]
pub(super) enum PaperArg {
    /// 210 mm by 297 mm
    #[default]
    A4,
    /// 148 mm by 210 mm
    A5,
    /// 8.5 by 11 inches
    Letter,
}

impl PaperArg {
    pub(super) fn size(self) -> PaperSize {
        match self {
            Self::A4 => PaperSize::A4,
            Self::A5 => PaperSize::A5,
            Self::Letter => PaperSize::Letter,
        }
    }
}
