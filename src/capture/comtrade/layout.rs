use crate::capture::Encoding;

use super::{DataKind, Revision};

/// How a COMTRADE record was understood.
#[derive(Clone, Debug, PartialEq)]
pub struct TransientLayout {
    /// Whether configuration and data stand in one file.
    pub single_file: bool,
    /// How the configuration's bytes were read as characters.
    pub encoding: Encoding,
    /// Edition of the standard.
    pub revision: Revision,
    /// How the samples are written.
    pub kind: DataKind,
    /// Analog channels of the configuration, those left out included.
    pub analog_channels: usize,
    /// Status channels, which are read past.
    pub status_channels: usize,
    /// Nominal frequency of the mains; `None` when the file gives none.
    pub line_frequency_hz: Option<f64>,
    /// Sample rates of the record; `None` where time stamps stand for one.
    pub rates_hz: Vec<Option<f64>>,
    /// Samples the configuration promises.
    pub promised_samples: usize,
}
