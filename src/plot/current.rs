//! The current of a step, and what meters make of it.

use crate::assess::{StepCase, StepResult};
use crate::meter::Detector;
use crate::regulator::{Placement, Step};
use crate::waveform::{Coupling, TrueRms};

use super::layout::content_top_px;
use super::{
    Axis, Callout, Dash, Face, Figure, Ink, Item, Marker, Panel, Rect, Stroke, TextLook, Weight,
    Zoom,
};
use super::{curve, numbers, ticks};

/// Readings farther from the band than so many of its widths are put beyond the ruler's scale.
const REACH_RATIO: f64 = 2.5;
/// A mean smaller than this share of the RMS moves it by less than a millionth.
const MEAN_WORTH_NAMING_RATIO: f64 = 1e-3;
/// Two dots for each column of the wave's panel: finer than a projector shows.
const COLUMNS: usize = 1200;

const AVERAGE: Detector = Detector::AverageResponding(Coupling::Ac);
const PEAK: Detector = Detector::PeakResponding(Coupling::Ac);

/// Two periods of a step's current with its true RMS, and beside it the surroundings of the band
/// magnified: where the true RMS lies, and what an average- and a peak-responding meter show.
///
/// `result` belongs to `case`: the same step and the same current.
#[must_use]
pub fn current_figure(case: &StepCase, result: &StepResult) -> Figure {
    let step = &case.step;
    let caption = lesson(step, result);
    let top_px = content_top_px(&caption, &[]) + 38.0;
    let bottom_px = 562.0;
    let ruler = Ruler::of(step, result);
    Figure {
        title: format!(
            "Step {} at {}: the current, and what meters make of it",
            step.number,
            numbers::amperes(step.nominal.a())
        ),
        caption,
        key: Vec::new(),
        panels: vec![
            wave_panel(case, result, Rect::new(88.0, top_px, 716.0, bottom_px)),
            ruler.panel(step, Rect::new(848.0, top_px, 912.0, bottom_px)),
        ],
        zooms: vec![Zoom { whole: 0, part: 1, from: ruler.from_a, to: ruler.to_a }],
        footnote: format!("Ideal meters. Current: {}. Band: {}.", case.origin, step.source),
    }
}

fn lesson(step: &Step, result: &StepResult) -> String {
    let nominal_a = step.nominal.a();
    let shown_a = AVERAGE.read(&result.measures).shown_a();
    let true_a = result.measures.dc.rms_a;
    // A meter that is not among those given can only be imagined.
    let given = result.judgements.iter().any(|judgement| judgement.meter.detector == AVERAGE);
    let shown = format!(
        "An average-responding meter {} {} where {} flow",
        if given { "shows" } else { "would show" },
        numbers::amperes(shown_a),
        numbers::amperes(true_a)
    );
    if shown_a <= 0.0 {
        return format!("{shown}.");
    }
    let trimmed = TrueRms::stated_a(nominal_a * true_a / shown_a);
    let end = match step.band.place(trimmed) {
        Placement::Inside => "still inside the band",
        Placement::Low => "below the band",
        Placement::High => "above the band",
    };
    format!(
        "{shown}; trimmed until it shows {}, the circuit carries {}, {end}.",
        numbers::amperes(nominal_a),
        numbers::amperes(trimmed.a())
    )
}

fn wave_panel(case: &StepCase, result: &StepResult, area: Rect) -> Panel {
    let measures = &result.measures;
    let band = case.step.band;
    let reach_a = measures.dc.peak_a.max(band.high_a());
    let end_a = ticks::round_outwards(1.1 * reach_a, 12);
    let end_ms = 2e3 * case.waveform.period_s();
    let rms_a = measures.dc.rms_a;
    let level = Stroke::solid(Ink::TrueRms, 2.5).with_dash(Dash::Dashed);
    let label = (
        format!("true RMS {}", numbers::amperes(rms_a)),
        TextLook::new(18.0, Weight::Bold, Ink::TrueRms),
    );
    Panel {
        area,
        x: Axis::numbers("time", "ms", 0.0, end_ms, 7).without_grid(),
        y: Axis::numbers("current", "A", -end_a, end_a, 10),
        items: vec![
            Item::Area {
                x: (0.0, end_ms),
                y: (band.low_a(), band.high_a()),
                ink: Ink::Room,
                edge: None,
            },
            Item::Curve {
                points: curve::of_current(&case.waveform, 2, COLUMNS),
                stroke: Stroke::solid(Ink::Current, 3.5),
            },
            Item::Level { y: rms_a, stroke: level, label: Some(label) },
            Item::Level {
                y: -rms_a,
                stroke: Stroke::solid(Ink::Muted, 1.5).with_dash(Dash::Dotted),
                label: None,
            },
        ],
    }
}

/// One pointer on the ruler.
struct Pointer {
    name: String,
    marker: Marker,
    ink: Ink,
    shown_a: f64,
    error_ratio: Option<f64>,
    x: f64,
}

/// The surroundings of the band.
struct Ruler {
    from_a: f64,
    to_a: f64,
    pointers: Vec<Pointer>,
}

impl Ruler {
    fn of(step: &Step, result: &StepResult) -> Self {
        let truth = result.measures.dc.rms_a;
        // The coupling is worth its words only where there is a mean to lose.
        let has_mean = result.measures.mean_a.abs() > MEAN_WORTH_NAMING_RATIO * truth;
        let pointer = |name: &str, detector: Detector, x| {
            let reading = detector.read(&result.measures);
            Pointer {
                name: if has_mean { detector.words() } else { name.to_owned() },
                marker: Marker::of(detector),
                ink: Ink::of(detector.indication()),
                shown_a: reading.shown_a(),
                error_ratio: reading.error_ratio(TrueRms::stated_a(truth)),
                x,
            }
        };
        let mut flowing = pointer("true RMS", Detector::TrueRms(Coupling::Dc), 0.2);
        (flowing.error_ratio, flowing.marker) = (None, Marker::Circle);
        let pointers = vec![
            flowing,
            pointer("average-responding", AVERAGE, 0.5),
            pointer("peak-responding", PEAK, 0.8),
        ];
        let (low_a, high_a) = (step.band.low_a(), step.band.high_a());
        let width_a = high_a - low_a;
        let near = |shown_a: f64| {
            shown_a > low_a - REACH_RATIO * width_a && shown_a < high_a + REACH_RATIO * width_a
        };
        let inside = pointers.iter().map(|pointer| pointer.shown_a).filter(|shown| near(*shown));
        let (least_a, most_a) =
            inside.fold((low_a, high_a), |(low, high), shown| (low.min(shown), high.max(shown)));
        let spare_a = 0.35 * width_a;
        Self { from_a: least_a - spare_a, to_a: most_a + spare_a, pointers }
    }

    fn panel(&self, step: &Step, area: Rect) -> Panel {
        let span_a = self.to_a - self.from_a;
        let strip_a = 0.14 * span_a;
        let above = self.pointers.iter().any(|pointer| pointer.shown_a > self.to_a);
        let below = self.pointers.iter().any(|pointer| pointer.shown_a < self.from_a);
        let mut y = Axis::numbers("magnified, current", "A", self.from_a, self.to_a, 6);
        y.grid = false;
        let mut items = vec![Item::Area {
            x: (0.0, 1.0),
            y: (step.band.low_a(), step.band.high_a()),
            ink: Ink::Room,
            edge: Some(Stroke::solid(Ink::RoomEdge, 2.0)),
        }];
        if above {
            y.to += strip_a;
            items.push(beyond((self.to_a, y.to)));
        }
        if below {
            y.from -= strip_a;
            items.push(beyond((y.from, self.from_a)));
        }
        let mut entries = vec![
            edge_callout("band up to", step.band.high_a()),
            edge_callout("band from", step.band.low_a()),
        ];
        for pointer in &self.pointers {
            // Beyond the scale a pointer stands in the middle of the strip.
            let at_a = if pointer.shown_a > self.to_a {
                self.to_a + 0.5 * strip_a
            } else if pointer.shown_a < self.from_a {
                self.from_a - 0.5 * strip_a
            } else {
                pointer.shown_a
            };
            let outside = pointer.shown_a > self.to_a || pointer.shown_a < self.from_a;
            entries.push(pointer.callout(at_a, outside));
            items.push(Item::Mark {
                at: (pointer.x, at_a),
                offset_px: (0.0, 0.0),
                marker: pointer.marker,
                ink: pointer.ink,
                face: Face::Full,
                radius_px: 9.0,
            });
        }
        // Lines first, marks on top of them.
        items.insert(1, Item::Callouts { offset_px: 44.0, entries });
        Panel { area, x: Axis::bare(0.0, 1.0), y, items }
    }
}

impl Pointer {
    fn callout(&self, at_a: f64, outside: bool) -> Callout {
        let name = TextLook::new(17.0, Weight::Regular, self.ink);
        let number = TextLook::new(20.0, Weight::Bold, self.ink);
        let value = numbers::amperes(self.shown_a);
        let value = match self.error_ratio {
            Some(ratio) => format!("{value} ({})", numbers::signed_percent(ratio)),
            None => value,
        };
        let mut lines = vec![(self.name.clone(), name), (value, number)];
        if outside {
            lines.push(("beyond this scale".to_owned(), name));
        }
        Callout { x: self.x, y: at_a, lines, ink: self.ink }
    }
}

fn edge_callout(name: &str, edge_a: f64) -> Callout {
    let look = TextLook::new(17.0, Weight::Regular, Ink::RoomEdge);
    let text = format!("{name} {}", numbers::amperes(edge_a));
    Callout { x: 1.0, y: edge_a, lines: vec![(text, look)], ink: Ink::RoomEdge }
}

/// The end of an axis that has no scale.
fn beyond(y: (f64, f64)) -> Item {
    Item::Area { x: (0.0, 1.0), y, ink: Ink::Aside, edge: None }
}
