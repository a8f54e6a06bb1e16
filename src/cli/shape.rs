use std::fmt::Write;

use crate::description::ShapeOrigin;
use crate::error::Result;
use crate::report::{Document, ShapeDocument, to_json};
use crate::spectrum::band_limited;
use crate::waveform::{Noise, Scale, Shape, Synthesis};

use super::args::{ShapeArgs, ShapeCommand};
use super::console::print;
use super::outcome::Outcome;
use super::readings;

pub(super) fn run(args: &ShapeArgs, json: bool) -> Result<Outcome> {
    let noise = (args.noise > 0.0).then_some(Noise { ratio: args.noise, seed: args.seed });
    let synthesis = Synthesis {
        offset_ratio: args.offset,
        noise,
        frequency_hz: args.frequency,
        ..Synthesis::new(shape(&args.shape), scale(args))
    };
    let waveform = match args.highest_order {
        Some(order) => band_limited(&synthesis, order)?,
        None => synthesis.waveform()?,
    };
    let words = ShapeOrigin {
        shape: synthesis.shape,
        offset_ratio: args.offset,
        noise,
        ring_down: None,
        highest_order: args.highest_order,
    }
    .words();
    let document = ShapeDocument::new(words, &waveform);
    if json {
        print(&to_json(&Document::Shape(Box::new(document))))?;
        return Ok(Outcome::Done);
    }
    let mut text = String::new();
    let _ = writeln!(text, "{} at {} Hz", document.shape, document.frequency_hz);
    text += &readings::text(&document.measures, &document.readings);
    print(&text)?;
    Ok(Outcome::Done)
}

fn scale(args: &ShapeArgs) -> Scale {
    match (args.rms, args.peak) {
        (_, Some(peak_a)) => Scale::PeakA(peak_a),
        (Some(rms_a), None) => Scale::RmsA(rms_a),
        (None, None) => Scale::RmsA(6.6),
    }
}

fn shape(command: &ShapeCommand) -> Shape {
    match command {
        ShapeCommand::Sine => Shape::Sine,
        ShapeCommand::Harmonics { list } => {
            Shape::Harmonics(list.iter().map(|harmonic| harmonic.0).collect())
        }
        ShapeCommand::ClippedSine { level, sharpness } => {
            Shape::ClippedSine { level_ratio: *level, sharpness: *sharpness }
        }
        ShapeCommand::PhaseCut { delay } => Shape::PhaseCut { delay_rad: *delay },
        ShapeCommand::Pulse { duty } => Shape::Pulse { duty: *duty },
        ShapeCommand::Triangle => Shape::Triangle,
        ShapeCommand::Square => Shape::Square,
        ShapeCommand::Trapezoid { flat } => Shape::Trapezoid { flat_ratio: *flat },
        ShapeCommand::Block120 => Shape::Block120,
        ShapeCommand::HalfWave => Shape::HalfWave,
    }
}
