//! An invented history of the top step, its drift, and the limits inside its band that leave room for
//! doubt. Days and readings are made up; everything else is computed from them.

use jiff::civil::Date;

use crate::classroom::training::TrainingCircuit;
use crate::error::{Error, Result};
use crate::plot::{Dash, Figure, Ink, Item, Stroke, TextLook, Weight, drift_figure};
use crate::procedure::entry::{Moment, Output};
use crate::procedure::history::{StepHistory, StepPoint};
use crate::uncertainty::Estimate;
use crate::uncertainty::decision::{Acceptance, GuardBand, Limits};

/// Year, day, as found and as left over the nominal; where both are the same nothing was set.
const READ: [(i16, i8, i8, f64, f64); 6] = [
    (2020, 9, 15, 0.981, 1.000),
    (2021, 9, 21, 1.0022, 1.0022),
    (2022, 9, 13, 1.0066, 1.0066),
    (2023, 9, 19, 1.0101, 1.000),
    (2024, 9, 17, 1.0036, 1.0036),
    (2025, 9, 16, 1.0060, 1.0060),
];
/// Standard uncertainty of each reading over the nominal: a precision clamp's, invented.
const STANDARD_RATIO: f64 = 0.0022;

pub(in crate::classroom::training) fn figure(
    circuit: &TrainingCircuit,
    probability: f64,
) -> Result<Figure> {
    let top = circuit.description.steps.top();
    let (nominal_a, band_a) = (top.nominal.a(), (top.band.low_a(), top.band.high_a()));
    let mut points = Vec::new();
    for ((year, month, day, found, left), visit) in READ.iter().zip(1..) {
        let day = Date::new(*year, *month, *day)
            .map_err(|_| Error::inconsistent("the invented visits are on days of the calendar"))?;
        for (moment, ratio) in [(Moment::AsFound, found), (Moment::AsLeft, left)] {
            let true_rms_a = ratio * nominal_a;
            points.push(StepPoint {
                visit,
                day,
                moment,
                meter: "an invented clamp".into(),
                shown_a: true_rms_a,
                true_rms_a,
                standard_uncertainty_a: STANDARD_RATIO * nominal_a,
                band_a,
            });
        }
    }
    let history = StepHistory::from_points(top.number, Output::Shorted, points)?
        .ok_or_else(|| Error::inconsistent("the invented visits hold readings"))?;
    let figure = drift_figure(&history, "Invented regulator", probability)?;
    with_guard_band(figure, band_a, STANDARD_RATIO * nominal_a, probability)
}

/// The same figure with the acceptance limits of a guarded decision.
fn with_guard_band(
    mut figure: Figure,
    band_a: (f64, f64),
    standard_a: f64,
    probability: f64,
) -> Result<Figure> {
    let expanded = Estimate::new(0.0, standard_a, f64::INFINITY)?.expanded(probability)?;
    let band = Limits::between(band_a.0, band_a.1)?;
    let rule = Acceptance::new(band, GuardBand::Expanded(1.0), &expanded)?;
    let amperes = |value_a: f64| format!("{value_a:.3}\u{a0}A");
    let edges = rule.limits().and_then(|limits| limits.lower().zip(limits.upper()));
    let Some((low_a, high_a)) = edges else {
        let caption =
            format!("{} No reading is near enough to the middle to prove it.", figure.caption);
        return Ok(figure.with_caption(caption));
    };
    if let Some(panel) = figure.panels.first_mut() {
        // The word on the day the band is left stands above the lower limit.
        for item in &mut panel.items {
            if let Item::Label { at, offset_px, .. } = item
                && (at.1 - band_a.0).abs() < 1e-9
            {
                offset_px.1 = -64.0;
            }
        }
        for (y, text) in [(high_a, "accept up to"), (low_a, "accept from")] {
            panel.items.push(Item::Level {
                y,
                stroke: Stroke::solid(Ink::RoomEdge, 2.0).with_dash(Dash::Dashed),
                label: Some((
                    format!("{text} {}", amperes(y)),
                    TextLook::new(17.0, Weight::Bold, Ink::Text),
                )),
            });
        }
    }
    let caption = format!(
        "{} A reading proves the step within its band only from {} to {} ({}\u{a0}%, U = {}).",
        figure.caption,
        amperes(low_a),
        amperes(high_a),
        crate::classroom::training::parameter::percent(probability),
        amperes(expanded.half_width)
    );
    Ok(figure.with_caption(caption))
}
