//! What flows inside a resonant source, and at which voltages.

use std::f64::consts::TAU;

use crate::error::Result;

use super::cycle::{Cycle, rms};
use super::layout::content_top_px;
use super::{
    Anchor, Axis, Callout, Dash, Face, Figure, Ink, Item, Marker, NamedPoint, Panel, Rect, Stroke,
    TextLook, Weight,
};
use super::{numbers, ticks};

const LEFT_PX: f64 = 108.0;
const RIGHT_PX: f64 = 872.0;
const BOTTOM_PX: f64 = 566.0;
/// Between the panels: the title of the lower vertical axis.
const GAP_PX: f64 = 50.0;
/// Share of the height for the currents: there are more of them.
const CURRENTS_RATIO: f64 = 0.57;
/// From the currents' panel to the column of labels, and to the line that says when the triac fires.
const COLUMN_PX: f64 = 44.0;
const EVENTS_PX: f64 = 22.0;
/// From a mark to its word, and the room that two marks with two words between them take.
const WORD_PX: f64 = 12.0;
const BETWEEN_PX: f64 = 232.0;

/// One curve with its name.
struct Course {
    name: &'static str,
    stroke: Stroke,
    values: Vec<f64>,
}

/// The currents of every branch of a resonant source over one period, and below them the voltages,
/// each with its RMS value; where the triac conducts is shaded.
///
/// `origin` says where the regulator's values come from and ends without a full stop.
///
/// # Errors
/// `Inconsistent` for a point of another kind of source; as [`crate::regulator::OperatingPoint::traces`].
pub fn branches_figure(named: &NamedPoint<'_>, origin: &str) -> Result<Figure> {
    let cycle = Cycle::of(named.point)?;
    let currents = [
        Course::new(
            "input",
            Stroke::solid(Ink::Input, 2.5).with_dash(Dash::Dashed),
            cycle.current_a("input reactor")?,
        ),
        Course::new("capacitor", Stroke::solid(Ink::Capacitor, 2.0), cycle.current_a("capacitor")?),
        Course::new(
            "fired reactor",
            Stroke::solid(Ink::Control, 3.0),
            cycle.current_a("control reactor")?,
        ),
        Course::new(
            "iron",
            Stroke::solid(Ink::Iron, 3.0).with_dash(Dash::Dotted),
            cycle.current_a("iron")?,
        ),
        Course::new("output", Stroke::solid(Ink::Current, 4.0), cycle.output_current_a()?),
    ];
    let voltages = [
        Course::new(
            "source",
            Stroke::solid(Ink::Input, 2.5).with_dash(Dash::Dashed),
            cycle.voltage_v("source")?,
        ),
        Course::new("capacitor", Stroke::solid(Ink::Capacitor, 2.0), cycle.voltage_v("capacitor")?),
        Course::new("output", Stroke::solid(Ink::Current, 4.0), cycle.output_voltage_v()?),
    ];
    let caption = lesson(named);
    let top_px = content_top_px(&caption, &[]) + 38.0;
    let split_px = (BOTTOM_PX - top_px - GAP_PX).mul_add(CURRENTS_RATIO, top_px);
    let upper = Rect::new(LEFT_PX, top_px, RIGHT_PX, split_px);
    let lower = Rect::new(LEFT_PX, split_px + GAP_PX, RIGHT_PX, BOTTOM_PX);
    let end_ms = 1e3 * cycle.period_s;
    let mut x = Axis::numbers("time", "ms", 0.0, end_ms, 9);
    let bare = Axis::bare(0.0, end_ms);
    let mut above = panel(&cycle, upper, bare, ("current", "A", 8), &currents);
    above.items.extend(events(&cycle, above.y.to));
    x.grid = true;
    let below = panel(&cycle, lower, x, ("voltage", "V", 5), &voltages);
    Ok(Figure {
        title: format!("Inside the regulator: {}", named.name),
        caption,
        key: Vec::new(),
        panels: vec![above, below],
        zooms: Vec::new(),
        footnote: format!("Shaded: the triac conducts. Numbers: RMS. Solved circuit of {origin}."),
    })
}

impl Course {
    fn new(name: &'static str, stroke: Stroke, values: Vec<f64>) -> Self {
        Self { name, stroke, values }
    }

    fn callout(&self, cycle: &Cycle<'_>, unit: &str) -> Callout {
        let decimals = if unit == "A" { 2 } else { 0 };
        let value = numbers::plain(rms(&self.values), decimals);
        let look = TextLook::new(18.0, Weight::Bold, self.stroke.ink);
        let y = cycle.at(&self.values, cycle.period_s);
        let text = format!("{} {value}\u{a0}{unit}", self.name);
        Callout { x: 1e3 * cycle.period_s, y, lines: vec![(text, look)], ink: self.stroke.ink }
    }
}

fn lesson(named: &NamedPoint<'_>) -> String {
    let measures = named.point.output.measures();
    let crest = match measures.dc.crest_factor() {
        Some(crest) => format!(" of crest factor {}", numbers::plain(crest, 2)),
        None => String::new(),
    };
    let error = named.point.average_responding_error_ratio();
    format!(
        "The triac fires {} after the capacitor's voltage crosses zero; what its reactor leaves to \
         the output is a current{crest}, on which an average-responding meter is {} off.",
        degrees(named.point.delay_rad()),
        numbers::signed_percent(error)
    )
}

fn panel(
    cycle: &Cycle<'_>,
    area: Rect,
    x: Axis,
    (label, unit, count): (&str, &str, usize),
    courses: &[Course],
) -> Panel {
    let most = courses
        .iter()
        .flat_map(|course| &course.values)
        .fold(0.0_f64, |most, value| most.max(value.abs()));
    let end = ticks::round_outwards(1.04 * most, count);
    let shade = |(from_s, to_s)| Item::Area {
        x: (1e3 * from_s, 1e3 * to_s),
        y: (-end, end),
        ink: Ink::Aside,
        edge: None,
    };
    let mut items: Vec<Item> = cycle.conducting_s().into_iter().map(shade).collect();
    items.push(Item::Callouts {
        offset_px: COLUMN_PX,
        entries: courses.iter().map(|course| course.callout(cycle, unit)).collect(),
    });
    items.extend(
        courses.iter().map(|course| Item::Curve {
            points: cycle.points(&course.values),
            stroke: course.stroke,
        }),
    );
    Panel { area, x, y: Axis::numbers(label, unit, -end, end, count), items }
}

/// Marks above the panel at every firing and every extinction; one of each is told in words.
fn events(cycle: &Cycle<'_>, edge: f64) -> Vec<Item> {
    let mark = |time_s: &f64, face| Item::Mark {
        at: (1e3 * time_s, edge),
        offset_px: (0.0, -EVENTS_PX),
        marker: Marker::Wedge,
        ink: Ink::Control,
        face,
        radius_px: 7.0,
    };
    let mut items: Vec<Item> = cycle.fired_s.iter().map(|at_s| mark(at_s, Face::Full)).collect();
    items.extend(cycle.out_s.iter().map(|at_s| mark(at_s, Face::Open)));
    let first = cycle.conducting_s().into_iter().find(|(_, out_s)| *out_s < cycle.period_s);
    let Some((fired_s, out_s)) = first else { return items };
    let word = |time_s: f64, away: f64, word: &str| Item::Label {
        at: (1e3 * time_s, edge),
        offset_px: (away * WORD_PX, -EVENTS_PX),
        anchor: if away < 0.0 { Anchor::End } else { Anchor::Start },
        text: format!("{word} {}", degrees(TAU * time_s / cycle.period_s)),
        look: TextLook::new(17.0, Weight::Bold, Ink::Control),
        upright: false,
    };
    // The two words stand between the two marks when there is room, outside otherwise.
    let between_px = (RIGHT_PX - LEFT_PX) * (out_s - fired_s) / cycle.period_s;
    let inwards = if between_px > BETWEEN_PX { 1.0 } else { -1.0 };
    items.push(word(fired_s, inwards, "fires"));
    items.push(word(out_s, -inwards, "out"));
    items
}

fn degrees(angle_rad: f64) -> String {
    format!("{}°", numbers::plain(angle_rad.to_degrees(), 0))
}
