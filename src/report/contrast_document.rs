use schemars::JsonSchema;
use serde::Serialize;

use crate::error::Result;
use crate::regulator::OperatingPoint;
use crate::spectrum::Spectrum;

use super::shape_document::readings;
use super::survey_document::program;
use super::{Document, MeasuresPart, ReadingPart};

/// The same true RMS current on the same load from three kinds of source.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ContrastDocument {
    /// Format number.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// The load, as a share of the rated load resistance.
    pub load_ratio: f64,
    /// True RMS current of all of them.
    pub output_rms_a: f64,
    /// The sources.
    pub sources: Vec<ContrastPart>,
}

/// One kind of source.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ContrastPart {
    /// `resonant`, `phase-cut` or `sine`.
    pub source: &'static str,
    /// Firing delay, where the source has one.
    pub delay_deg: Option<f64>,
    /// Measures of its current.
    pub measures: MeasuresPart,
    /// What each detector law shows.
    pub readings: Vec<ReadingPart>,
    /// True RMS of the output voltage.
    pub output_rms_v: f64,
    /// Largest magnitude of the output voltage.
    pub output_peak_v: f64,
}

impl ContrastDocument {
    /// The document of solved points, each with the key of its source.
    ///
    /// # Errors
    /// As [`OperatingPoint::output_power`].
    pub fn new(
        load_ratio: f64,
        output_rms_a: f64,
        points: &[(&'static str, OperatingPoint)],
    ) -> Result<Self> {
        let part = |(source, point): &(&'static str, OperatingPoint)| {
            let power = point.output_power()?;
            Ok(ContrastPart {
                source,
                delay_deg: point.solution.delay_rad.map(f64::to_degrees),
                measures: MeasuresPart::new(&point.output.measures(), &Spectrum::of(&point.output)),
                readings: readings(&point.output),
                output_rms_v: power.voltage_rms_v,
                output_peak_v: power.voltage_peak_v,
            })
        };
        Ok(Self {
            format: Document::FORMAT,
            program: program(),
            load_ratio,
            output_rms_a,
            sources: points.iter().map(part).collect::<Result<_>>()?,
        })
    }
}
