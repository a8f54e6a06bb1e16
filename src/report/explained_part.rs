use schemars::JsonSchema;
use serde::Serialize;

use super::wording::plain_number;
use crate::capture::{
    ArrayLayout, Channel, ChannelOptions, ColumnChoice, Cut, FileLayout, FullScale, Layout,
    ReadOptions, Record, Recorded, Side, SoundLayout, TimeColumn, Timing, TimingSource,
    TransientLayout,
};

/// What a decision rests on when the options made it.
const CALLER: &str = "given by option";

/// One decision made while a file was read.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ExplainedPart {
    /// What was decided.
    pub what: &'static str,
    /// How.
    pub found: String,
    /// What it rests on.
    pub from: &'static str,
    /// The option of the command line that outranks it, when there is one.
    pub change_with: Option<&'static str>,
}

impl ExplainedPart {
    fn new(
        what: &'static str,
        found: impl Into<String>,
        from: &'static str,
        change_with: Option<&'static str>,
    ) -> Self {
        Self { what, found: found.into(), from, change_with }
    }

    /// How the mains period was found.
    fn period(cut: &Cut) -> Self {
        let from = match cut.frequency_standard_uncertainty_hz {
            Some(_) => "the samples",
            None => CALLER,
        };
        let found = format!(
            "{:.5} Hz, {:.3} samples in a period, {} whole periods from sample {}",
            cut.frequency_hz, cut.period_samples, cut.cycles, cut.first_sample
        );
        Self::new("period", found, from, Some("--lowest, --highest, --from, --to"))
    }
}

/// Every decision up to the amperes of one channel, in the order they were made.
#[must_use]
pub fn explain(
    record: &Record,
    channel: Option<&Channel>,
    reading: &ReadOptions,
    options: &ChannelOptions,
) -> Vec<ExplainedPart> {
    let format = record.layout.format().words();
    let mut parts = vec![ExplainedPart::new("format", format, "the content", None)];
    match &record.layout {
        FileLayout::Text(layout) => text(layout, reading, &mut parts),
        FileLayout::Transient(layout) => transient(layout, &mut parts),
        FileLayout::Sound(layout) => parts.push(sound(layout)),
        FileLayout::Array(layout) => parts.push(array(layout)),
    }
    parts.push(match channel {
        Some(channel) => {
            let from = match options.column {
                ColumnChoice::Auto if record.channels.len() == 1 => "the only one",
                ColumnChoice::Auto => "name and unit",
                _ => CALLER,
            };
            ExplainedPart::new("channel", named(channel), from, Some("--column"))
        }
        None => {
            ExplainedPart::new("channel", "none stands out", "names and units", Some("--column"))
        }
    });
    let others: Vec<String> = record
        .channels
        .iter()
        .filter(|other| channel.is_none_or(|channel| channel.number != other.number))
        .map(named)
        .collect();
    if !others.is_empty() {
        parts.push(ExplainedPart::new(
            "other channels",
            others.join("; "),
            "the file",
            Some("--column"),
        ));
    }
    if let Some(channel) = channel {
        parts.push(unit(channel, options));
        parts.extend(scale(channel, options));
    }
    parts.push(rate(record.timing.as_ref()));
    parts
}

/// Every decision up to whole periods.
#[must_use]
pub fn explain_recorded(recorded: &Recorded) -> Vec<ExplainedPart> {
    let mut parts = explain(
        &recorded.record,
        Some(&recorded.channel),
        &recorded.reading,
        &recorded.channel_options,
    );
    parts.push(ExplainedPart::period(&recorded.cut));
    parts
}

fn text(layout: &Layout, reading: &ReadOptions, parts: &mut Vec<ExplainedPart>) {
    let from = |given: bool, found: &'static str| if given { CALLER } else { found };
    let tried = "every one tried on the rows";
    parts.push(ExplainedPart::new("encoding", layout.encoding.words(), "the bytes", None));
    parts.push(ExplainedPart::new(
        "separator",
        layout.separator.words(),
        from(reading.separator.is_some(), tried),
        Some("--separator"),
    ));
    parts.push(ExplainedPart::new(
        "decimal mark",
        layout.decimal_mark.words(),
        from(reading.decimal_mark.is_some(), tried),
        Some("--decimal"),
    ));
    let first = format!("line {}", layout.first_data_line);
    parts.push(ExplainedPart::new("first row of data", first, "the first row of numbers", None));
    let time = layout.time_column.map_or("none".to_owned(), |column| format!("column {column}"));
    parts.push(ExplainedPart::new(
        "time column",
        time,
        from(reading.time_column != TimeColumn::default(), "name, unit or content"),
        Some("--time-column, --time-unit"),
    ));
}

fn transient(layout: &TransientLayout, parts: &mut Vec<ExplainedPart>) {
    let kind = format!(
        "edition of {}, {} data, {} analog and {} status channels",
        layout.revision.year(),
        layout.kind.word(),
        layout.analog_channels,
        layout.status_channels
    );
    parts.push(ExplainedPart::new("record", kind, "the configuration", None));
    parts.push(ExplainedPart::new("encoding", layout.encoding.words(), "the bytes", None));
    if layout.rates_hz.len() > 1 {
        let rates: Vec<String> = layout
            .rates_hz
            .iter()
            .map(|hz| {
                hz.map_or("by time stamps".to_owned(), |hz| format!("{} Hz", plain_number(hz)))
            })
            .collect();
        let found = rates.join(", then ");
        parts.push(ExplainedPart::new("sections", found, "the configuration", Some("--section")));
    }
    if let Some(hz) = layout.line_frequency_hz {
        let found = format!("{} Hz", plain_number(hz));
        parts.push(ExplainedPart::new(
            "nominal frequency",
            found,
            "the configuration; the period is found from the samples all the same",
            None,
        ));
    }
}

fn sound(layout: &SoundLayout) -> ExplainedPart {
    let number = if layout.floating { "floating-point" } else { "whole" };
    let channels = if layout.channels == 1 { "channel" } else { "channels" };
    let found = format!("{number} numbers of {} bits, {} {channels}", layout.bits, layout.channels);
    ExplainedPart::new("samples", found, "the header", None)
}

fn array(layout: &ArrayLayout) -> ExplainedPart {
    let (samples, columns) = layout.shape;
    let across = if layout.channels_in_rows { ", a channel in each row" } else { "" };
    let found = format!("{samples} samples by {columns} of type {}{across}", layout.number);
    ExplainedPart::new("array", found, "the header; the longer side is time", Some("--time-column"))
}

fn unit(channel: &Channel, options: &ChannelOptions) -> ExplainedPart {
    let change = Some("--unit");
    match (&options.unit, options.full_scale, &channel.unit) {
        (Some(unit), _, _) => ExplainedPart::new("unit", unit.as_str(), CALLER, change),
        (None, Some(FullScale::CurrentA(_)), _) => {
            ExplainedPart::new("unit", "A", "the full scale given", Some("--full-scale"))
        }
        (None, Some(FullScale::VoltageV(_)), _) => {
            ExplainedPart::new("unit", "V", "the full scale given", Some("--full-scale"))
        }
        (None, None, Some(unit)) => ExplainedPart::new("unit", unit.as_str(), "the file", change),
        (None, None, None) => {
            let found = if options.clamp_v_per_a.is_some() { "volts" } else { "amperes" };
            ExplainedPart::new("unit", found, "assumed, the file gives none", change)
        }
    }
}

fn scale(channel: &Channel, options: &ChannelOptions) -> Vec<ExplainedPart> {
    let mut parts = Vec::new();
    let scale = &channel.scale;
    if let Some((multiplier, offset)) = scale.linear {
        let found = format!("{multiplier} times the number plus {offset}");
        parts.push(ExplainedPart::new("scale", found, "the configuration", None));
    }
    if let (Some((primary, secondary)), Some(side)) = (scale.rated, scale.side) {
        let found = format!("{} side of {primary} to {secondary}", side.word());
        let from = match (scale.written_side, side) {
            (Some(written), side) if written == side => "the configuration",
            (_, Side::Primary) => "asked for: written on the secondary side",
            (_, Side::Secondary) => "asked for: written on the primary side",
        };
        parts.push(ExplainedPart::new("side", found, from, Some("--side")));
    }
    if let Some(skew_s) = scale.skew_s.filter(|skew_s| skew_s.abs() > 0.0) {
        let found = format!("sampled {skew_s:e} s after the first channel");
        parts.push(ExplainedPart::new(
            "skew",
            found,
            "the configuration; one current needs none",
            None,
        ));
    }
    let full = match (scale.full_scale, options.full_scale) {
        (_, Some(FullScale::CurrentA(value))) => Some((format!("{value} A"), CALLER)),
        (_, Some(FullScale::VoltageV(value))) => Some((format!("{value} V"), CALLER)),
        (Some(largest), None) => {
            Some((format!("the number {largest}"), "the format: the file knows no amperes"))
        }
        (None, None) => None,
    };
    if let Some((found, from)) = full {
        parts.push(ExplainedPart::new("full scale", found, from, Some("--full-scale")));
    }
    if let Some(v_per_a) = options.clamp_v_per_a {
        let found = format!("{v_per_a} V/A");
        parts.push(ExplainedPart::new("clamp", found, CALLER, Some("--clamp")));
    }
    parts
}

fn rate(timing: Option<&Timing>) -> ExplainedPart {
    let change = Some("--sample-rate");
    let Some(timing) = timing else {
        return ExplainedPart::new("sample rate", "unknown", "the file gives none", change);
    };
    let from = match timing.source {
        TimingSource::Caller => CALLER,
        TimingSource::EvenStamps => "even time stamps",
        TimingSource::FirstAndLastStamp => "count, first and last of uneven time stamps",
        TimingSource::Header => "written in the file",
    };
    ExplainedPart::new(
        "sample rate",
        format!("{} Hz", plain_number(timing.sample_rate_hz)),
        from,
        change,
    )
}

fn named(channel: &Channel) -> String {
    let name = channel.name.as_ref().map_or(String::new(), |name| format!(" \"{name}\""));
    let unit = channel.unit.as_ref().map_or(String::new(), |unit| format!(" in {unit}"));
    format!("{}{name}{unit}", channel.number)
}
