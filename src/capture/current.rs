use crate::error::{Bounds, Error, Note, Noted, Result};
use crate::units::Dimension;

use super::column_choice::list;
use super::header::unit;
use super::{Channel, ChannelOptions, ColumnChoice, Record, Samples};

/// What a clamp or shunt gives out.
const CLAMP_V_PER_A: Bounds = Bounds::new("clamp factor", "V/A", 1e-9, 1e6);

impl Record {
    /// One channel as a current in amperes.
    ///
    /// # Errors
    /// `Inconsistent` when no channel stands out or the one asked for does not exist, when it is in
    /// volts and no clamp factor is given, or when nobody gives the sample rate; `OutOfRange` for a
    /// clamp factor that makes no sense; `Malformed` for a unit that is not one.
    ///
    /// # Example
    /// ```
    /// use loopcrest::capture::{ChannelOptions, ReadOptions, read_bytes};
    /// let text = b"time (s),out (V)\n0,0.5\n0.001,0.7\n";
    /// let record = read_bytes(text, &ReadOptions::default()).unwrap().value;
    /// let clamp = ChannelOptions { clamp_v_per_a: Some(0.1), ..ChannelOptions::default() };
    /// assert_eq!(record.current(&clamp).unwrap().value.sample_a(0), Some(5.0));
    /// ```
    pub fn current(&self, options: &ChannelOptions) -> Result<Noted<Samples>> {
        let channel = self.channel(&options.column)?;
        let mut notes = Vec::new();
        let label = channel.label();
        let written = options.unit.as_deref().or(channel.unit.as_deref());
        let known = written.and_then(unit);
        if options.unit.is_some() && known.is_none() {
            return Err(Error::malformed(
                "a unit of current or voltage such as \"mA\"",
                format!("\"{}\"", written.unwrap_or("")),
            ));
        }
        let clamp_v_per_a =
            options.clamp_v_per_a.map(|factor| CLAMP_V_PER_A.check(factor)).transpose()?;
        let to_amperes = match (known, clamp_v_per_a) {
            (Some((Dimension::Current, factor)), None) => factor,
            (Some((Dimension::Voltage, factor)), Some(v_per_a)) => factor / v_per_a,
            (Some((Dimension::Current, _)), Some(_)) => {
                return Err(Error::inconsistent(format!(
                    "{label} is in amperes already, so a clamp factor would scale it twice"
                ))
                .with_hint("leave the clamp factor out, or say that the column is in volts"));
            }
            (Some((Dimension::Voltage, _)), None) => {
                return Err(Error::inconsistent(format!(
                    "{label} is in volts and no clamp factor is given"
                ))
                .with_hint("give the clamp's volts per ampere, such as 0.1 V/A"));
            }
            (Some(_), _) => {
                return Err(Error::inconsistent(format!(
                    "{label} is in {}, which is neither a current nor a voltage",
                    written.unwrap_or("")
                )));
            }
            (None, Some(v_per_a)) => {
                notes.push(assumed(&label, "volts", written));
                1.0 / v_per_a
            }
            (None, None) => {
                notes.push(assumed(&label, "amperes", written));
                1.0
            }
        };
        if options.column == ColumnChoice::Auto {
            notes.extend(self.other_currents(channel));
        }
        let timing = self.timing.as_ref().ok_or_else(|| {
            Error::inconsistent("the file gives no time axis and no sample interval")
                .with_hint("give the sample rate, such as 2000 Hz")
        })?;
        let samples_a = channel.raw().iter().map(|value| value * to_amperes).collect();
        let mut samples = Samples::new(samples_a, timing.sample_rate_hz)?;
        if let Some(ratio) = timing.relative_standard_uncertainty_ratio {
            samples = samples.with_rate_uncertainty(ratio);
        }
        Ok(Noted { value: samples, notes })
    }
}

impl Record {
    /// Says which columns were passed over although they look like currents too.
    fn other_currents(&self, taken: &Channel) -> Option<Note> {
        let others: Vec<_> = self
            .channels
            .iter()
            .filter(|channel| channel.number != taken.number && channel.looks_like_current())
            .map(|channel| (channel.number, channel.name.as_deref()))
            .collect();
        (!others.is_empty()).then(|| {
            Note::new(
                "other-currents",
                format!(
                    "{} is taken, the first that looks like a current; so do the columns {}",
                    taken.label(),
                    list(&others)
                ),
            )
        })
    }
}

fn assumed(label: &str, unit: &str, written: Option<&str>) -> Note {
    let why = match written {
        Some(written) => format!("\"{written}\" is no unit known here"),
        None => "the file gives no unit".to_owned(),
    };
    Note::new("unit-assumed", format!("{label}: {why}; its numbers are taken as {unit}"))
}
