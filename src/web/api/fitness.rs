use std::sync::Arc;

use axum::extract::{Request, State};
use axum::response::Response;
use axum::routing::post;

use crate::assess::instrument::{Instrument, Scatter, ShownCurrent, StepCurrents, Terms, Verdict};
use crate::description::Description;
use crate::error::{Error, Noted};
use crate::meter::{Archetype, Certificate, Circumstances, Meter};
use crate::report::{Document, FitnessDocument};
use crate::situation::named_meter;
use crate::uncertainty::Estimate;
use crate::units::{Dimension, parse_or_bare};

use super::super::endpoint::Endpoint;
use super::super::problem::Problem;
use super::super::query::Keys;
use super::super::sent::Sent;
use super::super::shared::Shared;
use super::answers::{JSON, json_text, of_kind};
use super::situation::SENT_PROBLEMS;

const KEYS: [&str; 8] =
    ["meter", "step", "shown", "probability", "today", "ambient", "repeats", "lamps-out"];

pub(super) fn endpoints() -> Vec<Endpoint> {
    let query = vec![
        (
            "meter",
            "names of meters, separated by commas; all when left out".to_owned(),
            "general-true-rms-clamp",
        ),
        ("step", "numbers of steps, separated by commas; all when left out".to_owned(), "1"),
        ("shown", "a number on the display, with `step`".to_owned(), "6.58 A"),
        ("probability", format!("a share, {}", Terms::CONFORMANCE_PROBABILITY), "95 %"),
        ("today", "a day certificates are held against".to_owned(), "2026-11-25"),
        ("ambient", "temperature of the meter".to_owned(), "30 degC"),
        (
            "repeats",
            "repeated readings of one steady current, separated by commas".to_owned(),
            "6.58 A,6.60 A,6.59 A",
        ),
        (
            "lamps-out",
            "shares of the field's lamps out, separated by commas".to_owned(),
            "0 %,10 %",
        ),
    ];
    vec![Endpoint {
        query,
        schema: Some("Document"),
        problems: SENT_PROBLEMS,
        ..Endpoint::post(
            "/api/v1/fitness",
            "Real meters by their data sheets: verdict per step, set-bands, reasons.",
            &Sent::SHEET,
            JSON,
            || post(fitness),
        )
    }]
}

/// What is asked, as it was written.
#[derive(Debug)]
pub(super) struct Asked {
    meters: Vec<String>,
    steps: Vec<u32>,
    shown_a: Option<f64>,
    lamps_out: Vec<f64>,
    mean_a: Option<f64>,
    pub(super) terms: Terms,
}

fn list(text: &str) -> impl Iterator<Item = &str> {
    text.split(',').map(str::trim).filter(|part| !part.is_empty())
}

impl Asked {
    pub(super) fn of(keys: &Keys) -> Result<Self, Problem> {
        let quantities = |key: &str, dimension: Dimension, unit: &str| {
            let read =
                |text: &str| list(text).map(|part| parse_or_bare(part, dimension, unit)).collect();
            keys.read(key, read).map(Option::unwrap_or_default)
        };
        let steps = keys.read("step", |text| {
            let number = |part: &str| {
                let expected = "numbers of steps, separated by commas";
                part.parse().map_err(|_| Error::malformed(expected, format!("\"{part}\"")))
            };
            list(text).map(number).collect::<crate::error::Result<Vec<u32>>>()
        })?;
        let repeats: Vec<f64> = quantities("repeats", Dimension::Current, "A")?;
        let scatter = |_: &str| Scatter::from_readings(&repeats);
        let probability =
            keys.read("probability", |text| parse_or_bare(text, Dimension::Ratio, ""))?;
        let default = Terms::default();
        let terms = Terms {
            conformance_probability: probability.unwrap_or(default.conformance_probability),
            today: keys.read("today", Certificate::day)?,
            ambient_degc: keys.read("ambient", |text| {
                parse_or_bare(text, Dimension::Temperature, "degC")
                    .and_then(|degc| Circumstances::AMBIENT_DEGC.check(degc))
            })?,
            scatter: keys.read("repeats", scatter)?,
        };
        terms.check()?;
        Ok(Self {
            meters: keys
                .text("meter")
                .map(|text| list(text).map(str::to_owned).collect())
                .unwrap_or_default(),
            steps: steps.unwrap_or_default(),
            shown_a: keys.read("shown", |text| parse_or_bare(text, Dimension::Current, "A"))?,
            lamps_out: quantities("lamps-out", Dimension::Ratio, "")?,
            mean_a: Estimate::from_readings(&repeats).ok().map(|estimate| estimate.value),
            terms,
        })
    }

    /// The currents that may flow, with the shares of lamps out that are asked for.
    pub(super) fn currents(
        &self,
        description: &Description,
    ) -> Result<Noted<Vec<StepCurrents>>, Problem> {
        if self.lamps_out.is_empty() {
            return Ok(description.possible_currents()?);
        }
        if description.field.is_none() {
            let error =
                Error::inconsistent("shares of lamps out need a [field] in the description");
            return Err(Problem::from(error).with_field("lamps-out"));
        }
        Ok(description.possible_currents_with(&self.lamps_out)?)
    }

    /// The meter of the sheet, those named, or all there are: of the invented example, whose meters are ideal,
    /// every archetype.
    fn meters(
        &self,
        description: &Description,
        sheet: Option<Meter>,
        is_example: bool,
    ) -> Result<Vec<Meter>, Problem> {
        if let Some(meter) = sheet {
            return Ok(vec![meter]);
        }
        if !self.meters.is_empty() {
            let named = |name: &String| named_meter(description, name);
            let meters: crate::error::Result<Vec<Meter>> = self.meters.iter().map(named).collect();
            return meters.map_err(|error| Problem::from(error).with_field("meter"));
        }
        if is_example {
            let of_kind = |kind: &Archetype| Meter::with_sheet(kind.words(), kind.sheet());
            return Ok(Archetype::ALL.iter().map(of_kind).collect());
        }
        Ok(description.meters.clone())
    }
}

async fn fitness(State(shared): State<Arc<Shared>>, request: Request) -> Result<Response, Problem> {
    let asked = Asked::of(&Keys::of(request.uri(), &KEYS)?)?;
    let turn = shared.clients.turn(request.headers())?;
    let sent = Sent::read(&shared, request, &Sent::SHEET).await?;
    let at_work = Arc::clone(&shared);
    let text = shared.desk.work(turn, move || judged(&at_work, &asked, &sent)).await?;
    Ok(of_kind(JSON, text))
}

fn judged(shared: &Shared, asked: &Asked, sent: &Sent) -> Result<String, Problem> {
    let description = sent.description(shared)?;
    let terms = &asked.terms;
    for number in &asked.steps {
        if description.steps.step(*number).is_none() {
            let known = description.steps.steps().iter().map(|step| step.number.to_string());
            let known: Vec<String> = known.collect();
            let expected = format!("a step of the description: {}", known.join(", "));
            let error = Error::malformed(expected, format!("step {number}"));
            return Err(Problem::from(error).with_field("step"));
        }
    }
    let sheet = sent.meter(description.frequency_hz)?;
    let meters = asked.meters(&description, sheet, sent.is_own() && shared.is_example)?;
    let ready =
        |meter: &Meter| Instrument::of_meter(meter, description.frequency_hz, terms.ambient_degc);
    let instruments: crate::error::Result<Vec<Instrument>> = meters.iter().map(ready).collect();
    let instruments = instruments?;
    let currents = asked.currents(&description)?;
    let is_asked = |number: u32| asked.steps.is_empty() || asked.steps.contains(&number);
    let places: Vec<_> =
        currents.value.iter().filter(|place| is_asked(place.step().number)).collect();
    if places.is_empty() {
        return Err(Error::inconsistent("none of these steps has a current").into());
    }
    if asked.shown_a.is_some() && asked.steps.is_empty() {
        let error = Error::inconsistent("a number shown belongs to a step: name it");
        return Err(Problem::from(error).with_field("step"));
    }
    let shown_a = asked.shown_a.or(asked.mean_a.filter(|_| asked.steps.len() == 1));
    let (mut verdicts, mut shown) = (Vec::new(), Vec::new());
    for instrument in &instruments {
        for place in &places {
            verdicts.push(Verdict::new(instrument, place, terms)?);
            if let Some(shown_a) = shown_a {
                shown.push(ShownCurrent::of(instrument, place, shown_a, terms)?);
            }
        }
    }
    let (title, invented) = (&description.title, description.is_invented);
    let document = FitnessDocument::new(title, invented, terms, &verdicts, &currents.notes);
    Ok(json_text(&Document::Fitness(Box::new(document.with_shown(&shown)))))
}
