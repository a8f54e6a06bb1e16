use crate::capture::{Samples, Side};
use crate::error::{Bounds, Error, Result};

use super::{DataKind, Revision};

/// A record to be written.
///
/// # Example
/// ```
/// use loopcrest::capture::{DataKind, ReadOptions, Revision, TransientChannel, TransientFile, read_bytes};
/// let current = TransientChannel::new("I", "A", vec![0.0, 6.6, 0.0, -6.6]);
/// let file = TransientFile::new(Revision::Of2013, DataKind::Float32, 2000.0, vec![current]);
/// let back = read_bytes(&file.single().unwrap(), &ReadOptions::default()).unwrap().value;
/// assert_eq!(back.channels[0].value(1), Some(f64::from(6.6_f32)));
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct TransientFile {
    /// Where the record was made.
    pub station: String,
    /// What made it.
    pub device: String,
    /// Edition of the standard: 1999 or 2013.
    pub revision: Revision,
    /// How the samples are written; 32-bit kinds belong to 2013.
    pub kind: DataKind,
    /// Nominal frequency of the mains; `None` writes 0, which says nothing.
    pub line_frequency_hz: Option<f64>,
    /// Samples per second, and the number of samples at that rate; several in their order.
    pub sections: Vec<(f64, usize)>,
    /// The channels, all equally long.
    pub channels: Vec<TransientChannel>,
    /// Status channels, all written as 0.
    pub status_channels: usize,
    /// Time of the first sample, `dd/mm/yyyy,hh:mm:ss.ssssss`.
    pub first_stamp: String,
}

/// One channel of a record to be written.
#[derive(Clone, Debug, PartialEq)]
pub struct TransientChannel {
    /// Its name.
    pub name: String,
    /// Unit of its values.
    pub unit: String,
    /// Its values; what is not finite is written as missing.
    pub values: Vec<f64>,
    /// Rated primary and secondary of the instrument transformer.
    pub rated: (f64, f64),
    /// Side the values are on.
    pub side: Side,
}

impl TransientChannel {
    /// A channel without an instrument transformer.
    #[must_use]
    pub fn new(name: impl Into<String>, unit: impl Into<String>, values: Vec<f64>) -> Self {
        let (name, unit) = (name.into(), unit.into());
        Self { name, unit, values, rated: (1.0, 1.0), side: Side::Primary }
    }

    /// Factor and offset that spread the values over the numbers of a kind of data.
    ///
    /// # Formula
    /// factor = (largest − smallest) / (2 M), offset = (largest + smallest) / 2, M the kind's largest
    /// number; a value is then off by factor/2 at most. Floating-point numbers are values themselves.
    #[must_use]
    pub fn linear(&self, kind: DataKind) -> (f64, f64) {
        if kind == DataKind::Float32 {
            return (1.0, 0.0);
        }
        let known = self.values.iter().copied().filter(|value| value.is_finite());
        let (low, high) =
            known.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
        if low > high {
            return (1.0, 0.0);
        }
        let factor = (high - low) / (2.0 * kind.largest());
        (if factor.is_normal() { factor } else { 1.0 }, 0.5 * low + 0.5 * high)
    }
}

impl TransientFile {
    /// Values that can be written.
    const VALUE: Bounds = Bounds::new("value to be written", "", -1e30, 1e30);
    /// Microseconds that fit the four bytes of a time stamp.
    const MOST_STAMP: f64 = 4e9;

    /// A record at one sample rate.
    #[must_use]
    pub fn new(
        revision: Revision,
        kind: DataKind,
        sample_rate_hz: f64,
        channels: Vec<TransientChannel>,
    ) -> Self {
        let count = channels.first().map_or(0, |channel| channel.values.len());
        Self {
            station: "loopcrest".to_owned(),
            device: "export".to_owned(),
            revision,
            kind,
            line_frequency_hz: None,
            sections: vec![(sample_rate_hz, count)],
            channels,
            status_channels: 0,
            first_stamp: "01/01/2000,00:00:00.000000".to_owned(),
        }
    }

    /// The text of the configuration.
    ///
    /// # Errors
    /// `Inconsistent` for channels of different length, sections that are not the whole of them, names
    /// with a comma or a line's end, or a kind of data the edition does not have; `OutOfRange` for
    /// rates and values that cannot be written.
    pub fn configuration(&self) -> Result<String> {
        self.check()?;
        let (analog, status) = (self.channels.len(), self.status_channels);
        let year = self.revision.year();
        let mut text = format!("{},{},{year}\r\n", self.station, self.device);
        text += &format!("{},{analog}A,{status}D\r\n", analog + status);
        for (at, channel) in self.channels.iter().enumerate() {
            let (factor, offset) = channel.linear(self.kind);
            let most = self.kind.largest();
            let (low, high) = match self.kind {
                DataKind::Float32 => (format!("{:e}", -most), format!("{most:e}")),
                _ => (format!("{}", -most), format!("{most}")),
            };
            let side = if channel.side == Side::Primary { 'P' } else { 'S' };
            let (primary, secondary) = channel.rated;
            text += &format!(
                "{},{},,,{},{factor:e},{offset:e},0,{low},{high},{primary},{secondary},{side}\r\n",
                at + 1,
                channel.name,
                channel.unit
            );
        }
        for number in 1..=status {
            text += &format!("{number},status {number},,,0\r\n");
        }
        text +=
            &format!("{}\r\n{}\r\n", self.line_frequency_hz.unwrap_or(0.0), self.sections.len());
        let mut end = 0;
        for (rate_hz, count) in &self.sections {
            end += count;
            text += &format!("{rate_hz},{end}\r\n");
        }
        let (stamp, multiplier) = (&self.first_stamp, self.multiplier());
        text += &format!("{stamp}\r\n{stamp}\r\n{}\r\n{multiplier}\r\n", self.kind.word());
        if self.revision == Revision::Of2013 {
            text += "0,0\r\nB,3\r\n";
        }
        Ok(text)
    }

    /// The bytes of the data.
    ///
    /// # Errors
    /// As [`Self::configuration`].
    pub fn data(&self) -> Result<Vec<u8>> {
        self.check()?;
        let linear: Vec<_> =
            self.channels.iter().map(|channel| channel.linear(self.kind)).collect();
        let words = self.status_channels.div_ceil(16);
        let mut out = Vec::new();
        let mut time_s = 0.0;
        let mut row = 0;
        for (rate_hz, count) in &self.sections {
            for _ in 0..*count {
                let stamp = (time_s * 1e6 / self.multiplier()).round();
                let number = row + 1;
                if self.kind == DataKind::Ascii {
                    out.extend(format!("{number},{stamp}").bytes());
                } else {
                    out.extend((number as u32).to_le_bytes());
                    out.extend((stamp as u32).to_le_bytes());
                }
                for (channel, (factor, offset)) in self.channels.iter().zip(&linear) {
                    self.write(channel.values[row], *factor, *offset, &mut out);
                }
                if self.kind == DataKind::Ascii {
                    out.extend(",0".repeat(self.status_channels).bytes().chain(*b"\r\n"));
                } else {
                    out.resize(out.len() + 2 * words, 0);
                }
                time_s += 1.0 / rate_hz;
                row += 1;
            }
        }
        Ok(out)
    }

    /// Configuration and data in one file (`.cff`), which only the edition of 2013 knows.
    ///
    /// # Errors
    /// As [`Self::configuration`]; `Inconsistent` for an older edition.
    pub fn single(&self) -> Result<Vec<u8>> {
        if self.revision != Revision::Of2013 {
            return Err(Error::inconsistent("a single file needs the edition of 2013"));
        }
        let data = self.data()?;
        let kind = self.kind.word();
        let size = match self.kind {
            DataKind::Ascii => String::new(),
            _ => format!(": {}", data.len()),
        };
        let mut out = format!(
            "--- file type: CFG ---\r\n{}--- file type: INF ---\r\n\r\n--- file type: HDR ---\r\n\r\n\
             --- file type: DAT {kind}{size} ---\r\n",
            self.configuration()?
        )
        .into_bytes();
        out.extend(data);
        Ok(out)
    }

    fn write(&self, value: f64, factor: f64, offset: f64, out: &mut Vec<u8>) {
        let most = self.kind.largest();
        let code = value
            .is_finite()
            .then(|| ((value - offset) / factor).round().clamp(-most, most) as i32);
        let code = code.or(self.kind.missing());
        match (self.kind, code) {
            (DataKind::Float32, _) => out.extend((value as f32).to_le_bytes()),
            (DataKind::Ascii, code) => {
                out.extend(code.map_or(",".to_owned(), |code| format!(",{code}")).bytes());
            }
            (DataKind::Binary, code) => {
                out.extend((code.unwrap_or(0) as i16).to_le_bytes());
            }
            (DataKind::Binary32, code) => out.extend(code.unwrap_or(0).to_le_bytes()),
        }
    }

    /// What a unit of the time stamps is, in microseconds, so that the last one fits.
    fn multiplier(&self) -> f64 {
        let total_s: f64 = self.sections.iter().map(|(rate_hz, n)| *n as f64 / rate_hz).sum();
        (total_s * 1e6 / Self::MOST_STAMP).ceil().max(1.0)
    }

    fn check(&self) -> Result<()> {
        let count = self.channels.first().map_or(0, |channel| channel.values.len());
        if count == 0 || self.channels.iter().any(|channel| channel.values.len() != count) {
            return Err(Error::inconsistent(
                "the channels of a record need the same number of samples, at least one",
            ));
        }
        if self.sections.iter().map(|(_, count)| count).sum::<usize>() != count {
            return Err(Error::inconsistent("the sections of a record are not all of its samples"));
        }
        for (rate_hz, _) in &self.sections {
            Samples::SAMPLE_RATE_HZ.check(*rate_hz)?;
        }
        let wide = matches!(self.kind, DataKind::Binary32 | DataKind::Float32);
        if self.revision == Revision::Of1991 || (wide && self.revision != Revision::Of2013) {
            return Err(Error::inconsistent(format!(
                "{} data are not written in the edition of {}",
                self.kind.word(),
                self.revision.year()
            ))
            .with_hint("1999 has ASCII and BINARY, 2013 all kinds"));
        }
        let names = self.channels.iter().flat_map(|channel| [&channel.name, &channel.unit]);
        for text in names.chain([&self.station, &self.device]) {
            if text.contains([',', '\r', '\n']) {
                return Err(Error::inconsistent(format!(
                    "\"{text}\" holds a comma or a line's end, which a configuration cannot"
                )));
            }
        }
        let values = self.channels.iter().flat_map(|channel| &channel.values);
        for value in values.filter(|value| value.is_finite()) {
            Self::VALUE.check(*value)?;
        }
        Ok(())
    }
}
