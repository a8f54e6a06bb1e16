//! How a step drifts over the years, and when it will leave its band.

use jiff::ToSpan;
use jiff::civil::Date;

use crate::error::Result;
use crate::procedure::entry::Moment;
use crate::procedure::history::{Outlook, StepHistory, StepPoint};

use super::layout::content_top_px;
use super::{
    Anchor, Axis, Dash, Face, Figure, Ink, Item, KeyEntry, Marker, Panel, Rect, Stroke, TextLook,
    Weight, numbers,
};

const LEFT_PX: f64 = 110.0;
const RIGHT_PX: f64 = 1140.0;
const BOTTOM_PX: f64 = 560.0;
/// How far ahead is drawn where the step does not leave its band.
const AHEAD_YEARS: i32 = 3;
/// How far ahead is drawn at most.
const MOST_YEARS: i32 = 8;
/// Points of a curve into the future.
const POINTS: i32 = 48;
const NOTE: TextLook = TextLook::new(17.0, Weight::Regular, Ink::Text);

/// The readings of a step over the years in its band, the drift through them and what is to be
/// expected, with the interval of the probability asked for.
///
/// # Errors
/// As [`StepHistory::outlook`].
pub fn drift_figure(
    history: &StepHistory,
    regulator: &str,
    conformance_probability: f64,
) -> Result<Figure> {
    let outlook = history.outlook(conformance_probability)?;
    let last = history.last().day;
    let leaves = outlook.as_ref().and_then(|outlook| outlook.leaves_on);
    let usual = last.saturating_add(AHEAD_YEARS.years());
    let most = last.saturating_add(MOST_YEARS.years());
    let end = leaves.map_or(usual, |day| day.saturating_add(6.months()).clamp(usual, most));
    let ahead = ahead(history, end, conformance_probability)?;
    let percent = numbers::plain(100.0 * conformance_probability, 0);
    let mut key = vec![
        KeyEntry::mark(Marker::Circle, Ink::TrueRms, "as found, with the expanded uncertainty"),
        KeyEntry {
            marker: Some((Marker::Circle, Face::Open)),
            ink: Ink::TrueRms,
            text: "as left".into(),
        },
        KeyEntry::shade(Ink::Room, "band of the step"),
    ];
    if !ahead.is_empty() {
        key.push(KeyEntry::mark(
            Marker::Lying,
            Ink::Average,
            format!("expected, dotted: {percent} % interval"),
        ));
    }
    let caption = caption(history, outlook.as_ref());
    let first = decimal_year(history.points[0].day);
    let x = year_axis((first - 0.3).floor().max(first - 0.5), decimal_year(end));
    let values = history.points.iter().flat_map(|point| {
        let reach_a = 2.0 * point.standard_uncertainty_a;
        [point.true_rms_a - reach_a, point.true_rms_a + reach_a]
    });
    let values = values
        .chain(ahead.iter().flat_map(|at| [at.1 - at.2, at.1 + at.2]))
        .chain([history.band_a.0, history.band_a.1]);
    let (least, most) = values
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), v| (least.min(v), most.max(v)));
    let room = 0.12 * (most - least);
    let y = Axis::numbers("true RMS current", "A", least - room, most + room, 7);
    let area = Rect::new(LEFT_PX, content_top_px(&caption, &key) + 34.0, RIGHT_PX, BOTTOM_PX);
    let items = items(history, &ahead, leaves, (x.from, x.to));
    Ok(Figure {
        title: format!("{regulator}, step {}: drift, {}", history.step, history.output.words()),
        caption,
        key,
        panels: vec![Panel { area, x, y, items }],
        zooms: Vec::new(),
        footnote:
            "The drift is taken as steady; a new level begins whenever the step was set. Each \
                   reading is judged with the meter of its day."
                .into(),
    })
}

/// Year, expected value and half-width of the interval from the last reading on.
fn ahead(history: &StepHistory, end: Date, probability: f64) -> Result<Vec<(f64, f64, f64)>> {
    let last = history.last().day;
    let days = (end - last).get_days();
    let mut points = Vec::new();
    for part in 0..=POINTS {
        let day = last.saturating_add((days * part / POINTS).days());
        let Some(known) = history.expected(day)? else { break };
        points.push((decimal_year(day), known.value, known.expanded(probability)?.half_width));
    }
    Ok(points)
}

fn items(
    history: &StepHistory,
    ahead: &[(f64, f64, f64)],
    leaves: Option<Date>,
    (from, to): (f64, f64),
) -> Vec<Item> {
    let edge = Some(Stroke::solid(Ink::RoomEdge, 2.0));
    let mut items = vec![Item::Area { x: (from, to), y: history.band_a, ink: Ink::Room, edge }];
    let curve = |points: Vec<(f64, f64)>, stroke: Stroke| Item::Curve { points, stroke };
    let levels = history.points.chunk_by(|_, next| !next.begins_level());
    for level in levels {
        let points: Vec<(f64, f64)> = level.iter().map(place).collect();
        if points.len() > 1 {
            items.push(curve(points, Stroke::solid(Ink::Muted, 2.0)));
        }
    }
    if !ahead.is_empty() {
        let along = |offset: f64| ahead.iter().map(|at| (at.0, at.1 + offset * at.2)).collect();
        let stroke = Stroke::solid(Ink::Average, 3.0);
        items.push(curve(along(0.0), stroke.with_dash(Dash::Dashed)));
        let bound = Stroke::solid(Ink::Average, 2.0).with_dash(Dash::Dotted);
        items.push(curve(along(1.0), bound));
        items.push(curve(along(-1.0), bound));
    }
    for point in &history.points {
        let (x, y) = place(point);
        let reach_a = 2.0 * point.standard_uncertainty_a;
        items.push(curve(
            vec![(x, y - reach_a), (x, y + reach_a)],
            Stroke::solid(Ink::TrueRms, 2.0),
        ));
        items.push(Item::Mark {
            at: (x, y),
            offset_px: (0.0, 0.0),
            marker: Marker::Circle,
            ink: Ink::TrueRms,
            face: if point.moment == Moment::AsFound { Face::Full } else { Face::Open },
            radius_px: 7.0,
        });
    }
    if let Some((day, at)) =
        leaves.and_then(|day| ahead.iter().find(|at| at.0 >= decimal_year(day)).map(|at| (day, at)))
    {
        items.push(Item::Mark {
            at: (at.0, at.1),
            offset_px: (0.0, 0.0),
            marker: Marker::Diamond,
            ink: Ink::Average,
            face: Face::Full,
            radius_px: 8.0,
        });
        let down = vec![(at.0, at.1), (at.0, history.band_a.0)];
        items.push(curve(down, Stroke::solid(Ink::Muted, 2.0).with_dash(Dash::Dotted)));
        items.push(Item::Label {
            at: (at.0, history.band_a.0),
            offset_px: (-12.0, -24.0),
            anchor: Anchor::End,
            text: format!("leaves the band about {day}"),
            look: NOTE,
            upright: false,
        });
    }
    items
}

fn place(point: &StepPoint) -> (f64, f64) {
    (decimal_year(point.day), point.true_rms_a)
}

fn caption(history: &StepHistory, outlook: Option<&Outlook>) -> String {
    let Some(outlook) = outlook else {
        return "Nothing is known of a drift yet: no level was read twice.".into();
    };
    let drift = format!(
        "{} mA a year, expanded uncertainty {} mA",
        numbers::signed(1000.0 * outlook.drift_a_per_year, 1),
        numbers::plain(1000.0 * outlook.drift_expanded.half_width, 1)
    );
    if !outlook.is_drifting() {
        return format!("No drift is told from none: {drift}.");
    }
    match outlook.leaves_on {
        Some(day) => format!("{drift}: going on like that, the step leaves its band about {day}."),
        None => format!(
            "{drift}: going on like that, the step stays in its band for {} years from {}.",
            Outlook::HORIZON_YEARS,
            history.last().day
        ),
    }
}

/// A day as a year with its part that has gone by.
fn decimal_year(day: Date) -> f64 {
    let into = f64::from(day.day_of_year()) - 1.0;
    f64::from(day.year()) + into / f64::from(day.days_in_year())
}

/// An axis of years with divisions at whole ones only.
fn year_axis(from: f64, to: f64) -> Axis {
    let mut axis = Axis::numbers("year", "", from, to, 8);
    let years = (from.ceil() as i32)..=(to.floor() as i32);
    let stride = years.clone().count() / 10 + 1;
    axis.ticks = years
        .step_by(stride)
        .map(|year| super::Tick { at: f64::from(year), text: year.to_string(), line: true })
        .collect();
    axis.named = true;
    axis
}
