//! Classic shapes of one true RMS current, and what each kind of meter shows of them.

use crate::assess::{Rung, ladder};
use crate::error::Result;
use crate::meter::Detector;
use crate::waveform::Coupling;

use super::layout::{MARGIN_PX, content_top_px};
use super::{Anchor, Axis, Face, Figure, Ink, Item, Marker, Panel, Rect, Stroke, TextLook, Weight};
use super::{font, numbers};

/// Points of a sketch: enough for a stroke of two pixels.
const SKETCH_POINTS: usize = 160;
/// Rows that begin a new family of shapes.
const FAMILIES: [usize; 5] = [1, 4, 8, 9, 12];
/// Half-width of the shaded strip: the room of the published ±3 % bands.
const BAND_RATIO: f64 = 0.03;

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
    let percents = || rungs.iter().flat_map(errors).map(|(_, ratio)| 100.0 * ratio);
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
        footnote: "Ideal meters. Shaded strip: the errors a ±3 % band would \
                   forgive. Mean lost: seen through a current transformer."
            .into(),
    })
}

/// The three errors with the law that stands for each kind of meter.
fn errors(rung: &Rung) -> [(Detector, f64); 3] {
    [
        (Detector::TrueRms(Coupling::Ac), rung.true_rms_error_ratio),
        (Detector::AverageResponding(Coupling::Ac), rung.average_error_ratio),
        (Detector::PeakResponding(Coupling::Ac), rung.peak_error_ratio),
    ]
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
    for (index, (detector, ratio)) in errors(rung).into_iter().enumerate() {
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

/// One period of the shape as the meter sees it, from −1 to 1 across.
fn sketch(rung: &Rung) -> Vec<(f64, f64)> {
    let across = |k: usize| 2.0 * (k as f64 + 0.5) / SKETCH_POINTS as f64 - 1.0;
    let values = rung.seen_ratio(SKETCH_POINTS);
    values.into_iter().enumerate().map(|(k, value)| (across(k), value)).collect()
}
