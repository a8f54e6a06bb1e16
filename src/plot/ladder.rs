//! Classic shapes of one true RMS current, and what each kind of meter shows of them.

use std::f64::consts::{FRAC_PI_2, FRAC_PI_3, PI, TAU};

use rayon::prelude::*;

use crate::error::Result;
use crate::meter::Detector;
use crate::waveform::{Coupling, Harmonic, Scale, Shape, Synthesis};

use super::layout::{MARGIN_PX, content_top_px};
use super::{Anchor, Axis, Face, Figure, Ink, Item, Marker, Panel, Rect, Stroke, TextLook, Weight};
use super::{font, numbers};

/// True RMS of every rung. The errors do not depend on it.
const RMS_A: f64 = 6.6;
/// Points of a sketch: enough for a stroke of two pixels.
const SKETCH_POINTS: usize = 160;
/// Fine enough that the largest sample of a corner is within 1e-4 of the corner's own height, so
/// that the printed decimal is the closed form's.
const SAMPLES_PER_PERIOD: usize = 36_000;
/// Rows that begin a new family of shapes.
const FAMILIES: [usize; 5] = [1, 4, 8, 9, 12];
/// Half-width of the shaded strip: the room of the published ±3 % bands.
const BAND_RATIO: f64 = 0.03;

/// One shape of the ladder with the error each kind of ideal meter makes on it.
///
/// Errors are against the true RMS of the whole current, mean included: the one that heats a lamp.
#[derive(Clone, Debug, PartialEq)]
pub struct Rung {
    /// The shape in words.
    pub name: String,
    /// The shape.
    pub shape: Shape,
    /// Whether the meters see the mean of the current.
    pub coupling: Coupling,
    /// Error of a true-RMS meter.
    pub true_rms_error_ratio: f64,
    /// Error of an average-responding meter.
    pub average_error_ratio: f64,
    /// Error of a peak-responding meter.
    pub peak_error_ratio: f64,
}

impl Rung {
    /// Computes one rung.
    ///
    /// # Errors
    /// As [`Synthesis::waveform`].
    pub fn new(name: impl Into<String>, shape: Shape, coupling: Coupling) -> Result<Self> {
        let recipe = Synthesis {
            samples_per_period: SAMPLES_PER_PERIOD,
            ..Synthesis::new(shape.clone(), Scale::RmsA(RMS_A))
        };
        let waveform = recipe.waveform()?;
        let measures = waveform.measures();
        let error =
            |detector: Detector| detector.read(&measures).shown_a() / measures.dc.rms_a - 1.0;
        Ok(Self {
            name: name.into(),
            shape,
            coupling,
            true_rms_error_ratio: error(Detector::TrueRms(coupling)),
            average_error_ratio: error(Detector::AverageResponding(coupling)),
            peak_error_ratio: error(Detector::PeakResponding(coupling)),
        })
    }

    fn errors(&self) -> [(Detector, f64); 3] {
        [
            (Detector::TrueRms(Coupling::Ac), self.true_rms_error_ratio),
            (Detector::AverageResponding(Coupling::Ac), self.average_error_ratio),
            (Detector::PeakResponding(Coupling::Ac), self.peak_error_ratio),
        ]
    }
}

/// The rungs, from the sine upwards in kind: harmonics, ideal converters, pulses, phase control,
/// rectifiers.
///
/// # Errors
/// None in practice: the shapes are within bounds.
pub fn ladder() -> Result<Vec<Rung>> {
    let third = |phase_rad| Shape::Harmonics(vec![Harmonic { order: 3, ratio: 0.2, phase_rad }]);
    let cut = |delay_rad| Shape::PhaseCut { delay_rad };
    [
        ("sine", Shape::Sine, Coupling::Dc),
        ("3rd harmonic 20 % at 0°", third(0.0), Coupling::Dc),
        ("3rd harmonic 20 % at 90°", third(FRAC_PI_2), Coupling::Dc),
        ("3rd harmonic 20 % at 180°", third(PI), Coupling::Dc),
        ("triangle", Shape::Triangle, Coupling::Dc),
        ("trapezoid, half of it flat", Shape::Trapezoid { flat_ratio: 0.5 }, Coupling::Dc),
        ("square", Shape::Square, Coupling::Dc),
        ("120° blocks", Shape::Block120, Coupling::Dc),
        ("pulses, 25 % of the time", Shape::Pulse { duty: 0.25 }, Coupling::Dc),
        ("sine cut for 60°", cut(FRAC_PI_3), Coupling::Dc),
        ("sine cut for 90°", cut(FRAC_PI_2), Coupling::Dc),
        ("sine cut for 120°", cut(2.0 * FRAC_PI_3), Coupling::Dc),
        ("half-wave, mean kept", Shape::HalfWave, Coupling::Dc),
        ("half-wave, mean lost", Shape::HalfWave, Coupling::Ac),
    ]
    .into_par_iter()
    .map(|(name, shape, coupling)| Rung::new(name, shape, coupling))
    .collect::<Vec<Result<Rung>>>()
    .into_iter()
    .collect()
}

/// The ladder as a figure: each shape with its drawing, the three errors as marks and as numbers.
///
/// # Errors
/// As [`ladder`].
pub fn ladder_figure() -> Result<Figure> {
    let rungs = ladder()?;
    let caption = "The same 20 % of third harmonic makes an average-responding meter read high, \
                   right or low; only true RMS with the mean kept is right on every shape."
        .to_owned();
    let top_px = content_top_px(&caption, &[]) + 34.0;
    let area = Rect::new(388.0, top_px, 876.0, 582.0);
    let percents = || rungs.iter().flat_map(Rung::errors).map(|(_, ratio)| 100.0 * ratio);
    let (least, most) = percents().fold((0.0_f64, 0.0_f64), |(a, b), e| (a.min(e), b.max(e)));
    let mut x = Axis::numbers("error against the true RMS", "%", 1.12 * least, 1.06 * most, 8);
    x.grid = true;
    // The first rung stands at the top: the axis runs downwards.
    let mut y = Axis::names("", "", rungs.iter().map(|rung| rung.name.clone()).collect());
    std::mem::swap(&mut y.from, &mut y.to);

    let rows = rungs.len() as f64;
    let mut items = vec![Item::Area {
        x: (100.0 * (1.0 / (1.0 + BAND_RATIO) - 1.0), 100.0 * (1.0 / (1.0 - BAND_RATIO) - 1.0)),
        y: (rows - 0.5, -0.5),
        ink: Ink::Room,
        edge: None,
    }];
    items.push(Item::Curve {
        points: vec![(0.0, rows - 0.5), (0.0, -0.5)],
        stroke: Stroke::solid(Ink::Muted, 1.5),
    });
    for row in FAMILIES {
        items.push(Item::Sketch {
            at: (f64::MIN, row as f64 - 0.5),
            offset_px: (Figure::WIDTH_PX / 2.0 - area.left_px, 0.0),
            half_px: (Figure::WIDTH_PX / 2.0 - MARGIN_PX, 0.0),
            points: vec![(-1.0, 0.0), (1.0, 0.0)],
            stroke: Stroke::solid(Ink::Grid, 1.5),
        });
    }
    for (row, rung) in rungs.iter().enumerate() {
        items.extend(row_items(row as f64, rung, x.to));
    }
    items.extend(head_items(x.to));
    Ok(Figure {
        title: format!("One true RMS current, {} shapes, three kinds of meter", rungs.len()),
        caption,
        key: Vec::new(),
        panels: vec![Panel { area, x, y, items }],
        zooms: Vec::new(),
        footnote: "Ideal meters. Green strip: the errors a ±3 % band would \
                   forgive. Mean lost: seen through a current transformer."
            .into(),
    })
}

/// Distances of the three columns of numbers from the panel's right edge.
const COLUMNS_PX: [f64; 3] = [86.0, 198.0, 294.0];

fn row_items(row: f64, rung: &Rung, right: f64) -> Vec<Item> {
    let left = (f64::MIN, row);
    let mut items = vec![Item::Sketch {
        at: left,
        offset_px: (-316.0, 0.0),
        half_px: (40.0, 11.0),
        points: vec![(-1.0, 0.0), (1.0, 0.0)],
        stroke: Stroke::solid(Ink::Grid, 1.5),
    }];
    items.push(Item::Sketch {
        at: left,
        offset_px: (-316.0, 0.0),
        half_px: (40.0, 11.0),
        points: sketch(rung),
        stroke: Stroke::solid(Ink::Current, 2.0),
    });
    for (index, (detector, ratio)) in rung.errors().into_iter().enumerate() {
        let ink = Ink::of(detector.indication());
        // One above the other within the row, so that equal errors do not hide each other.
        let y = 0.27_f64.mul_add(index as f64 - 1.0, row);
        let percent = 100.0 * ratio;
        items.push(Item::Curve {
            points: vec![(0.0, y), (percent, y)],
            stroke: Stroke::solid(ink, 3.0),
        });
        items.push(Item::Mark {
            at: (percent, y),
            offset_px: (0.0, 0.0),
            marker: Marker::of(detector),
            ink,
            face: Face::Full,
            radius_px: 4.5,
        });
        items.push(Item::Label {
            at: (right, row),
            offset_px: (COLUMNS_PX[index], 0.0),
            anchor: Anchor::End,
            text: numbers::signed(percent, 1),
            look: TextLook::new(17.0, Weight::Regular, ink),
            upright: false,
        });
    }
    items
}

fn head_items(right: f64) -> Vec<Item> {
    let heads = [
        ("true RMS", Detector::TrueRms(Coupling::Ac)),
        ("average", Detector::AverageResponding(Coupling::Ac)),
        ("peak", Detector::PeakResponding(Coupling::Ac)),
    ];
    let mut items = Vec::new();
    for ((text, detector), column_px) in heads.into_iter().zip(COLUMNS_PX) {
        let ink = Ink::of(detector.indication());
        let look = TextLook::new(17.0, Weight::Bold, ink);
        let before_px = font::width_px(text, look.size_px, look.weight) + 13.0;
        items.push(Item::Mark {
            at: (right, -0.5),
            offset_px: (column_px - before_px, -18.0),
            marker: Marker::of(detector),
            ink,
            face: Face::Full,
            radius_px: 6.0,
        });
        items.push(Item::Label {
            at: (right, -0.5),
            offset_px: (column_px, -18.0),
            anchor: Anchor::End,
            text: text.into(),
            look,
            upright: false,
        });
    }
    items
}

/// One period of the shape, scaled to its own peak, as the meter sees it.
fn sketch(rung: &Rung) -> Vec<(f64, f64)> {
    let values: Vec<f64> = (0..SKETCH_POINTS)
        .map(|k| rung.shape.at(TAU * (k as f64 + 0.5) / SKETCH_POINTS as f64))
        .collect();
    let mean = match rung.coupling {
        Coupling::Ac => values.iter().sum::<f64>() / values.len() as f64,
        Coupling::Dc => 0.0,
    };
    let peak = values.iter().map(|value| value.abs()).fold(0.0, f64::max);
    values
        .into_iter()
        .enumerate()
        .map(|(k, value)| {
            (2.0 * (k as f64 + 0.5) / SKETCH_POINTS as f64 - 1.0, (value - mean) / peak)
        })
        .collect()
}
