//! Capacitor voltage against iron flux: the loop a resonant source runs through each period.

use std::f64::consts::FRAC_PI_2;

use crate::circuit::{Element, Magnet};
use crate::error::Result;

use super::cycle::{Cycle, branch};
use super::layout::content_top_px;
use super::{Anchor, numbers, ticks};
use super::{
    Axis, Callout, Dash, Face, Figure, Ink, Item, Marker, NamedPoint, Panel, Rect, Stroke,
    TextLook, Weight,
};

const IRON: &str = "iron";
const COLUMN_PX: f64 = 44.0;

/// One loop.
struct Orbit<'a> {
    name: &'a str,
    flux_wb: Vec<f64>,
    voltage_v: Vec<f64>,
    fired: Vec<(f64, f64)>,
    out: Vec<(f64, f64)>,
}

/// Capacitor voltage against the flux linkage of the iron, one loop for each point, with the
/// firings and extinctions of the triac and the knee of the iron's curve.
///
/// `setting` says what the points have in common ("50 % load"); `origin` says where the regulator's
/// values come from and ends without a full stop.
///
/// # Errors
/// `Inconsistent` for a point of another kind of source; as [`crate::regulator::OperatingPoint::traces`].
pub fn phase_portrait_figure(
    points: &[NamedPoint<'_>],
    setting: &str,
    origin: &str,
) -> Result<Figure> {
    let orbits = points.iter().map(Orbit::of).collect::<Result<Vec<_>>>()?;
    let knee_wb = points.first().map(knee_wb).transpose()?.flatten();
    let most = |values: &dyn Fn(&Orbit<'_>) -> f64| orbits.iter().map(values).fold(0.0, f64::max);
    let flux_wb = most(&|orbit| peak(&orbit.flux_wb));
    let voltage_v = most(&|orbit| peak(&orbit.voltage_v));
    let end_wb = ticks::round_outwards(1.06 * flux_wb.max(knee_wb.unwrap_or(0.0)), 12);
    let end_v = ticks::round_outwards(1.06 * voltage_v, 8);
    let caption = lesson(flux_wb, knee_wb);
    let top_px = content_top_px(&caption, &[]) + 38.0;
    let mut items = Vec::new();
    items.extend(knee_wb.map(|knee_wb| knee(knee_wb, end_v)).into_iter().flatten());
    let mut entries = Vec::new();
    let count = orbits.len().max(1) as f64;
    for (rank, orbit) in orbits.iter().enumerate() {
        let ink = Ink::Rank(rank as u8);
        items.push(Item::Curve {
            points: Cycle::closed(&orbit.flux_wb, &orbit.voltage_v),
            stroke: Stroke::solid(ink, 3.0),
        });
        // From the top of the first loop down to the side of the last: the labels part by themselves.
        let turn = FRAC_PI_2 * (0.9 - 1.6 * (rank as f64 + 0.5) / count);
        let (x, y) = orbit.towards(turn, (end_wb, end_v));
        let look = TextLook::new(18.0, Weight::Bold, ink);
        entries.push(Callout { x, y, lines: orbit.lines(look), ink });
    }
    items.push(Item::Callouts { offset_px: COLUMN_PX, entries });
    for (rank, orbit) in orbits.iter().enumerate() {
        items.extend(orbit.marks(rank));
    }
    Ok(Figure {
        title: format!("The loop of voltage and flux, {setting}"),
        caption,
        key: vec![
            super::KeyEntry::mark(Marker::Wedge, Ink::Control, "the triac fires"),
            super::KeyEntry {
                marker: Some((Marker::Wedge, Face::Open)),
                ink: Ink::Control,
                text: "it goes out".into(),
            },
        ],
        panels: vec![Panel {
            area: Rect::new(108.0, top_px + 32.0, 820.0, 570.0),
            x: Axis::numbers("flux linkage of the iron", "Wb", -end_wb, end_wb, 10),
            y: Axis::numbers("capacitor voltage", "V", -end_v, end_v, 8),
            items,
        }],
        zooms: Vec::new(),
        footnote: format!("The loops are run through clockwise. Solved circuits of {origin}."),
    })
}

impl<'a> Orbit<'a> {
    fn of(named: &NamedPoint<'a>) -> Result<Self> {
        let cycle = Cycle::of(named.point)?;
        let (flux_wb, voltage_v) = (cycle.flux_wb(IRON)?, cycle.voltage_v("capacitor")?);
        let places = |times_s: &[f64]| {
            times_s
                .iter()
                .map(|at_s| (cycle.at(&flux_wb, *at_s), cycle.at(&voltage_v, *at_s)))
                .collect()
        };
        let (fired, out) = (places(&cycle.fired_s), places(&cycle.out_s));
        Ok(Self { name: named.name, flux_wb, voltage_v, fired, out })
    }

    /// The point of the loop in a direction, when the axes' ends are one.
    fn towards(&self, turn_rad: f64, ends: (f64, f64)) -> (f64, f64) {
        let away = |(x, y): &(f64, f64)| {
            let turned = (y / ends.1).atan2(x / ends.0) - turn_rad;
            turned.sin().atan2(turned.cos()).abs()
        };
        let places = self.flux_wb.iter().copied().zip(self.voltage_v.iter().copied());
        places.min_by(|a, b| away(a).total_cmp(&away(b))).unwrap_or((0.0, 0.0))
    }

    fn lines(&self, look: TextLook) -> Vec<(String, TextLook)> {
        let small = TextLook { size_px: 17.0, weight: Weight::Regular, ..look };
        let peaks = format!(
            "up to {}\u{a0}Wb, {}\u{a0}V",
            numbers::plain(peak(&self.flux_wb), 2),
            numbers::plain(peak(&self.voltage_v), 0)
        );
        vec![(self.name.to_owned(), look), (peaks, small)]
    }

    fn marks(&self, rank: usize) -> Vec<Item> {
        let ink = Ink::Rank(rank as u8);
        let mark = |at: &(f64, f64), face| Item::Mark {
            at: *at,
            offset_px: (0.0, 0.0),
            marker: Marker::Wedge,
            ink,
            face,
            radius_px: 7.0,
        };
        let fired = self.fired.iter().map(|at| mark(at, Face::Full));
        fired.chain(self.out.iter().map(|at| mark(at, Face::Open))).collect()
    }
}

/// The knee on both sides, with its name on the right, where no title of an axis stands.
fn knee(at_wb: f64, end_v: f64) -> Vec<Item> {
    let upright = |at_wb: f64| Item::Curve {
        points: vec![(at_wb, -end_v), (at_wb, end_v)],
        stroke: Stroke::solid(Ink::Iron, 2.0).with_dash(Dash::Dashed),
    };
    let name = Item::Label {
        at: (at_wb, end_v),
        offset_px: (0.0, -15.0),
        anchor: Anchor::Middle,
        text: format!("knee of the iron, {}\u{a0}Wb", numbers::plain(at_wb, 2)),
        look: TextLook::new(17.0, Weight::Bold, Ink::Iron),
        upright: false,
    };
    vec![upright(-at_wb), upright(at_wb), name]
}

/// The knee of the iron's curve; `None` for a curve given as a table, which has none.
fn knee_wb(named: &NamedPoint<'_>) -> Result<Option<f64>> {
    let network = named.point.circuit.network();
    Ok(match &network.get(branch(named.point, IRON)?).element {
        Element::SaturatingInductor { magnet: Magnet::OddPower { knee_wb, .. }, .. } => {
            Some(*knee_wb)
        }
        _ => None,
    })
}

fn peak(values: &[f64]) -> f64 {
    values.iter().fold(0.0, |most, value| value.abs().max(most))
}

fn lesson(flux_wb: f64, knee_wb: Option<f64>) -> String {
    let bend = "A sine would run round an ellipse; each firing of the triac bends the loop";
    match knee_wb {
        Some(knee_wb) => format!(
            "{bend}. The largest flux here is {}\u{a0}% of the iron's knee.",
            numbers::plain(100.0 * flux_wb / knee_wb, 0)
        ),
        None => format!("{bend}."),
    }
}
