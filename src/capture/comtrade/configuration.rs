use crate::capture::decode::decode;
use crate::capture::{Encoding, Limits};
use crate::error::{Bounds, Result};

use super::analog::Analog;
use super::lines::Lines;
use super::{DataKind, Revision};

/// Sample rates a record may have; more are no record of an instrument.
const MOST_RATES: usize = 1000;
/// Status channels a record may have: as many as five digits can name.
const MOST_STATUS: f64 = 99_999.0;

/// What the configuration of a record says.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Configuration {
    pub(super) encoding: Encoding,
    pub(super) station: Option<String>,
    pub(super) device: Option<String>,
    pub(super) revision: Revision,
    pub(super) analog: Vec<Analog>,
    pub(super) status: usize,
    pub(super) line_frequency_hz: Option<f64>,
    /// Samples per second (`None`: by time stamps) and the last sample, counted from 1, in order.
    pub(super) rates: Vec<(Option<f64>, usize)>,
    pub(super) first_stamp: Option<String>,
    pub(super) trigger_stamp: Option<String>,
    /// Seconds in one unit of the time stamps, multiplier included.
    pub(super) stamp_s: f64,
    pub(super) kind: DataKind,
}

impl Configuration {
    /// Reads a configuration.
    ///
    /// # Errors
    /// `Malformed`, with the line, when it ends too early or a field that must be a number is none;
    /// `OutOfRange` for more channels than the limits allow.
    pub(super) fn read(bytes: &[u8], limits: &Limits) -> Result<Self> {
        let decoded = decode(bytes);
        let mut lines = Lines::new(&decoded.text);
        let owned = |text: Option<&str>| text.map(str::to_owned);

        let first = lines.fields("the station", 1)?;
        let revision = Revision::from_field(first.text(2));
        let counts = lines.fields("the numbers of channels", 3)?;
        let analog_count = counts.count(1, "A", "a number of analog channels such as 4A")?;
        let status = counts.count(2, "D", "a number of status channels such as 16D")?;
        Bounds::new("number of channels", "", 1.0, limits.max_columns as f64)
            .check(analog_count as f64)?;
        Bounds::new("number of status channels", "", 0.0, MOST_STATUS).check(status as f64)?;
        let mut analog = Vec::new();
        for number in 1..=analog_count {
            let what = format!("analog channel {number} of {analog_count}");
            analog.push(Analog::from_fields(&lines.fields(&what, Analog::FEWEST_FIELDS)?));
        }
        for number in 1..=status {
            lines.fields(&format!("status channel {number} of {status}"), 1)?;
        }
        let line_frequency_hz = lines.fields("the line frequency", 1)?.number(0);
        let nrates = lines.fields("the number of sample rates", 1)?;
        let count = nrates.count(0, "", "a number of sample rates")?;
        if count > MOST_RATES {
            return Err(nrates.wrong("at most 1000 sample rates", 0));
        }
        let mut rates = Vec::new();
        // Without a rate one line still gives the number of samples.
        for _ in 0..count.max(1) {
            let fields = lines.fields("a sample rate and its last sample", 2)?;
            let end = fields.number(1).filter(|end| *end >= 0.0 && *end <= 1e15);
            let end = end.ok_or_else(|| fields.wrong("the number of the last sample", 1))?;
            let rate_hz = fields.number(0).filter(|rate_hz| *rate_hz > 0.0 && count > 0);
            rates.push((rate_hz, end as usize));
        }
        let stamp = |lines: &mut Lines<'_>, what: &str| {
            let fields = lines.fields(what, 1)?;
            Ok(match (fields.text(0), fields.text(1)) {
                (Some(date), Some(time)) => Some(format!("{date} {time}")),
                (date, _) => owned(date),
            })
        };
        let first_stamp = stamp(&mut lines, "the time of the first sample")?;
        let trigger_stamp = stamp(&mut lines, "the time of the trigger")?;
        let kind = lines.fields("the kind of data", 1)?;
        let kind = kind.text(0).and_then(DataKind::from_word).ok_or_else(|| {
            kind.wrong("one of ASCII, BINARY, BINARY32, FLOAT32 as the kind of data", 0)
        })?;
        let multiplier = match lines.optional() {
            Some(fields) if fields.text(0).is_some() => fields
                .number(0)
                .filter(|multiplier| *multiplier > 0.0)
                .ok_or_else(|| fields.wrong("a multiplier of the time stamps", 0))?,
            _ => 1.0,
        };
        Ok(Self {
            encoding: decoded.encoding,
            station: owned(first.text(0)),
            device: owned(first.text(1)),
            revision,
            analog,
            status,
            line_frequency_hz: line_frequency_hz.filter(|hz| *hz > 0.0),
            rates,
            stamp_s: multiplier * stamp_unit_s(first_stamp.as_deref()),
            first_stamp,
            trigger_stamp,
            kind,
        })
    }
}

/// Microseconds, or nanoseconds where the times of the record are written with that many digits.
fn stamp_unit_s(first_stamp: Option<&str>) -> f64 {
    let digits = first_stamp.and_then(|stamp| stamp.rsplit_once('.')).map_or(0, |(_, f)| f.len());
    if digits > 6 { 1e-9 } else { 1e-6 }
}
