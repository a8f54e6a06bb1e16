use crate::error::{Bounds, Error, Note, Noted, Result};
use crate::units::Dimension;

use super::column_choice::list;
use super::header::unit;
use super::{Channel, ChannelOptions, ColumnChoice, FullScale, Record, Samples, Side};

/// What a clamp or shunt gives out.
const CLAMP_V_PER_A: Bounds = Bounds::new("clamp factor", "V/A", 1e-9, 1e6);
/// What full scale of a converter may be.
const FULL_SCALE: Bounds = Bounds::new("full scale", "A or V", 1e-9, 1e9);

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
        let (written, per_number) = scale(channel, options)?;
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
                notes.push(assumed(channel, "volts", written));
                1.0 / v_per_a
            }
            (None, None) => {
                notes.push(assumed(channel, "amperes", written));
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
        notes.extend(secondary(channel));
        let samples_a = channel.scaled(per_number * to_amperes);
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

/// The unit of a channel's numbers, and what one of them is in that unit.
fn scale<'c>(channel: &'c Channel, options: &'c ChannelOptions) -> Result<(Option<&'c str>, f64)> {
    let written = options.unit.as_deref().or(channel.unit.as_deref());
    let Some(full_scale) = options.full_scale else { return Ok((written, 1.0)) };
    let Some(largest) = channel.scale.full_scale else {
        return Err(Error::inconsistent(format!(
            "{}: this file's numbers are no parts of a full scale",
            channel.label()
        ))
        .with_hint("leave the full scale out; a unit and a clamp factor can be given"));
    };
    if options.unit.is_some() {
        return Err(Error::inconsistent("a full scale has its own unit; another one is given too"));
    }
    let (value, unit) = match full_scale {
        FullScale::CurrentA(value_a) => (value_a, "A"),
        FullScale::VoltageV(value_v) => (value_v, "V"),
    };
    Ok((Some(unit), FULL_SCALE.check(value)? / largest))
}

/// Says that a current is the recorder's and not the circuit's.
fn secondary(channel: &Channel) -> Option<Note> {
    let scale = &channel.scale;
    let (primary, secondary) = scale.rated?;
    let differ = (primary / secondary - 1.0).abs() > 1e-9;
    (scale.side == Some(Side::Secondary) && differ).then(|| {
        Note::new(
            "secondary-side",
            format!(
                "{}: the values are on the secondary side of a transformer rated {primary} to {secondary}; the primary side can be asked for",
                channel.label()
            ),
        )
    })
}

fn assumed(channel: &Channel, unit: &str, written: Option<&str>) -> Note {
    let label = channel.label();
    let why = match (written, channel.scale.full_scale) {
        (Some(written), _) => format!("\"{written}\" is no unit known here"),
        (None, Some(_)) => "the file holds parts of a full scale and no unit".to_owned(),
        (None, None) => "the file gives no unit".to_owned(),
    };
    Note::new("unit-assumed", format!("{label}: {why}; its numbers are taken as {unit}"))
}
