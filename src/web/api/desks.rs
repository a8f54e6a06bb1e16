use std::sync::Arc;

use axum::extract::{Request, State};
use axum::response::Response;
use axum::routing::post;

use crate::assess::instrument::Requirement;
use crate::description::RegulatorSetup;
use crate::error::Error;
use crate::meter::{Archetype, Meter, Sheet, Signal, Simulation, WindowStart};
use crate::report::{Document, FieldDocument, MeterReadingDocument, RequirementDocument};
use crate::situation::named_meter;
use crate::units::{Dimension, parse_or_bare};

use super::super::endpoint::Endpoint;
use super::super::problem::Problem;
use super::super::query::Keys;
use super::super::sent::Sent;
use super::super::shared::Shared;
use super::answers::{JSON, json_text, of_kind};
use super::fitness::Asked;
use super::situation::SENT_PROBLEMS;

const READING: [&str; 3] = ["meter", "step", "load"];
const REQUIREMENT: [&str; 4] = ["probability", "today", "ambient", "lamps-out"];

pub(super) fn endpoints() -> Vec<Endpoint> {
    let reading = Endpoint {
        query: vec![
            (
                "meter",
                "a meter of the description or a kind of meter".to_owned(),
                "general-true-rms-clamp",
            ),
            ("step", "number of a step; the brightest when left out".to_owned(), "3"),
            ("load", format!("share of the rated load, {}", RegulatorSetup::LOAD_RATIO), "60 %"),
        ],
        schema: Some("Document"),
        problems: SENT_PROBLEMS,
        ..Endpoint::post(
            "/api/v1/reading",
            "What one meter shows of the current of one step, cause by cause.",
            &Sent::SHEET,
            JSON,
            || post(reading),
        )
    };
    let requirement = Endpoint {
        query: vec![
            ("probability", "a share".to_owned(), "95 %"),
            ("today", "a day certificates are held against".to_owned(), "2026-11-25"),
            ("ambient", "temperature of the meter".to_owned(), "30 degC"),
            ("lamps-out", "shares of lamps out, separated by commas".to_owned(), "0 %,10 %"),
        ],
        schema: Some("Document"),
        problems: SENT_PROBLEMS,
        ..Endpoint::post(
            "/api/v1/requirement",
            "The least demanding meter that is fit at every step.",
            &Sent::DESCRIPTION,
            JSON,
            || post(requirement),
        )
    };
    let field = Endpoint {
        schema: Some("Document"),
        problems: SENT_PROBLEMS,
        ..Endpoint::post(
            "/api/v1/field",
            "The field of a description: its load calculation, every step solved.",
            &Sent::DESCRIPTION,
            JSON,
            || post(field),
        )
    };
    vec![reading, requirement, field]
}

async fn requirement(
    State(shared): State<Arc<Shared>>,
    request: Request,
) -> Result<Response, Problem> {
    let asked = Asked::of(&Keys::of(request.uri(), &REQUIREMENT)?)?;
    let turn = shared.clients.turn(request.headers())?;
    let sent = Sent::read(&shared, request, &Sent::DESCRIPTION).await?;
    let at_work = Arc::clone(&shared);
    let work = move || {
        let description = sent.description(&at_work)?;
        let currents = asked.currents(&description)?;
        let requirement = Requirement::new(&currents.value, &asked.terms)?;
        let (title, invented) = (&description.title, description.is_invented);
        let document =
            RequirementDocument::new(title, invented, &asked.terms, &requirement, &currents.notes);
        Ok(json_text(&Document::Requirement(Box::new(document))))
    };
    let text = shared.desk.work(turn, work).await?;
    Ok(of_kind(JSON, text))
}

async fn field(State(shared): State<Arc<Shared>>, request: Request) -> Result<Response, Problem> {
    Keys::of(request.uri(), &[])?;
    let turn = shared.clients.turn(request.headers())?;
    let sent = Sent::read(&shared, request, &Sent::DESCRIPTION).await?;
    let at_work = Arc::clone(&shared);
    let work = move || {
        let description = sent.description(&at_work)?;
        let absent = |what: &str| {
            Error::inconsistent(format!("the description has no {what}"))
                .with_hint("`loopcrest starter` shows how one is described")
        };
        let setup = description.regulator.as_ref().ok_or_else(|| absent("[regulator]"))?;
        let field = description.field.as_ref().ok_or_else(|| absent("[field]"))?;
        let solved = field.solve(setup, description.steps.steps())?;
        let document = FieldDocument::new(&description, setup, field, &solved, None)?;
        Ok(json_text(&Document::Field(Box::new(document))))
    };
    let text = shared.desk.work(turn, work).await?;
    Ok(of_kind(JSON, text))
}

async fn reading(State(shared): State<Arc<Shared>>, request: Request) -> Result<Response, Problem> {
    let keys = Keys::of(request.uri(), &READING)?;
    let turn = shared.clients.turn(request.headers())?;
    let sent = Sent::read(&shared, request, &Sent::SHEET).await?;
    let at_work = Arc::clone(&shared);
    let text = shared.desk.work(turn, move || read(&at_work, &keys, &sent)).await?;
    Ok(of_kind(JSON, text))
}

fn read(shared: &Shared, keys: &Keys, sent: &Sent) -> Result<String, Problem> {
    let mut description = (*sent.description(shared)?).clone();
    let load = keys.read("load", |text| {
        parse_or_bare(text, Dimension::Ratio, "")
            .and_then(|ratio| RegulatorSetup::LOAD_RATIO.check(ratio))
    })?;
    if let Some(ratio) = load {
        let setup = description.regulator.as_mut();
        let setup = setup
            .ok_or_else(|| Error::inconsistent("the description has no [regulator] to solve"))?;
        setup.load_ratio = ratio;
    }
    let meter = match (sent.meter(description.frequency_hz)?, keys.text("meter")) {
        (Some(meter), _) => meter,
        (None, Some(name)) => named_meter(&description, name)
            .map_err(|error| Problem::from(error).with_field("meter"))?,
        (None, None) => {
            let kind = Archetype::GeneralTrueRmsClamp;
            let with_sheet = description.meters.iter().find(|meter| meter.sheet.is_some());
            with_sheet.cloned().unwrap_or_else(|| Meter::with_sheet(kind.words(), kind.sheet()))
        }
    };
    let number = keys.read("step", |text| {
        let step = text.trim().parse().ok().and_then(|number| description.steps.step(number));
        let step = step.ok_or_else(|| {
            let known = description.steps.steps().iter().map(|step| step.number.to_string());
            let known: Vec<String> = known.collect();
            Error::malformed(
                format!("a step of the description: {}", known.join(", ")),
                format!("step {text}"),
            )
        })?;
        Ok(step.number)
    })?;
    let number = number.unwrap_or(description.steps.top().number);
    let cases = description.cases()?;
    let case = cases.value.iter().find(|case| case.step.number == number);
    let case = case.ok_or_else(|| {
        let told = cases.notes.iter().find(|note| note.code == "out-of-reach");
        Error::inconsistent(
            told.map_or("this step has no current".into(), |note| note.text.clone()),
        )
    })?;
    let sheet = meter.sheet.clone().unwrap_or_else(|| Sheet::ideal(meter.detector));
    let reading = Simulation::new(sheet, description.frequency_hz)?
        .read(&Signal::of(&case.waveform), WindowStart::Anywhere)?;
    let document = MeterReadingDocument::new(&description, &meter, case, &reading);
    Ok(json_text(&Document::MeterReading(Box::new(document))))
}
