use clap::{Args, ValueEnum};

use crate::capture::{DecimalMark, FullScale, Separator, Side};
use crate::description::CaptureOrigin;

/// What the caller knows better than the file about how it is written.
#[derive(Debug, Default, Args)]
pub(super) struct WrittenArgs {
    /// What stands between two cells of a text
    #[arg(long, value_enum)]
    separator: Option<SeparatorArg>,
    /// Decimal mark of a text
    #[arg(long, value_enum)]
    decimal: Option<DecimalArg>,
    /// Unit of the time column, such as ms
    #[arg(long)]
    time_unit: Option<String>,
    /// What full scale of a sound file or of whole numbers means, such as 20A or, with --clamp, 1V
    #[arg(long, value_parser = full_scale)]
    full_scale: Option<FullScale>,
    /// Side of the instrument transformer the current is wanted on (COMTRADE)
    #[arg(long, value_enum)]
    side: Option<SideArg>,
    /// Which section of a record with several sample rates, from 1 (COMTRADE)
    #[arg(long)]
    section: Option<usize>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum SeparatorArg {
    Tab,
    Semicolon,
    Comma,
    Blanks,
    None,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum DecimalArg {
    Point,
    Comma,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum SideArg {
    Primary,
    Secondary,
}

impl WrittenArgs {
    /// Takes what is given over what the file says.
    pub(super) fn apply(&self, origin: &mut CaptureOrigin) {
        origin.reading.separator = self.separator.map(|separator| match separator {
            SeparatorArg::Tab => Separator::Tab,
            SeparatorArg::Semicolon => Separator::Semicolon,
            SeparatorArg::Comma => Separator::Comma,
            SeparatorArg::Blanks => Separator::Blanks,
            SeparatorArg::None => Separator::None,
        });
        origin.reading.decimal_mark = self.decimal.map(|mark| match mark {
            DecimalArg::Point => DecimalMark::Point,
            DecimalArg::Comma => DecimalMark::Comma,
        });
        origin.reading.time_unit.clone_from(&self.time_unit);
        origin.reading.side = self.side.map(|side| match side {
            SideArg::Primary => Side::Primary,
            SideArg::Secondary => Side::Secondary,
        });
        origin.reading.section = self.section;
        origin.channel.full_scale = self.full_scale;
    }
}

pub(super) fn full_scale(text: &str) -> Result<FullScale, String> {
    FullScale::parse(text).map_err(|error| error.to_string())
}
