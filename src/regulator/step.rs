use crate::cited::Source;
use crate::waveform::TrueRms;

use super::Band;

/// One brightness step: its number, nominal true RMS current, band and the band's source.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Number as the trade counts: 1 is the dimmest.
    pub number: u32,
    /// Nominal current.
    pub nominal: TrueRms,
    /// Currents allowed around it.
    pub band: Band,
    /// Where the band comes from.
    pub source: Source,
    /// What a reader of the band must know: a misprint set right, a rounding tie.
    pub remark: Option<String>,
}
