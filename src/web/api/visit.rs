use std::path::Path as FilePath;
use std::sync::Arc;

use axum::extract::{Path, Request, State};
use axum::http::HeaderMap;
use axum::response::Response;
use axum::routing::{get, post};
use jiff::civil::Date;

use crate::assess::instrument::Terms;
use crate::description::{Description, sheet_text};
use crate::error::Error;
use crate::logbook::{Clock, Logbook};
use crate::meter::{Certificate, Circumstances, Meter, Sheet};
use crate::procedure::entry::{Closing, Conditions, Opening, ProtectionProof};
use crate::procedure::plan::{ItemKind, Next};
use crate::procedure::{Candidate, LoggedEntry, Procedure, Run, VisitState, typed_current};
use crate::report::{
    CalibrationDocument, Document, EquipmentDocument, VisitDocument, VisitsDocument, to_json,
};
use crate::situation::named_meter;

use super::super::body;
use super::super::endpoint::Endpoint;
use super::super::problem::Problem;
use super::super::query::Keys;
use super::super::shared::Shared;
use super::super::visits::{
    EntryAnswer, EntryAsked, EntrySent, NextPart, OpeningSent, hash_of_opening, moment_of,
    output_of,
};
use super::answers::{JSON, json_text, of_kind};
use super::sent_again::{check_alike, check_alike_opening, check_words, check_words_opening};

/// Header with the name a client gives an entry: sent again, it is written once.
const NAME: &str = "idempotency-key";
const KINDS: [&str; 1] = ["application/json"];
const VISIT: [(&str, &str, &str); 1] = [("visit", "number of a visit", "1")];
const PROBLEMS: &[&str] = &[
    "malformed",
    "out-of-range",
    "inconsistent",
    "not-converged",
    "files",
    "not-found",
    "conflict",
];
const WRITING: &[&str] = &[
    "malformed",
    "out-of-range",
    "inconsistent",
    "not-converged",
    "files",
    "not-found",
    "conflict",
    "too-large",
    "too-slow",
    "media-type",
];

pub(super) fn endpoints() -> Vec<Endpoint> {
    let reads = |path, summary, schema, in_path: Vec<_>, handler| Endpoint {
        in_path,
        schema: Some(schema),
        problems: PROBLEMS,
        ..Endpoint::get(path, summary, JSON, handler)
    };
    let writes = |path, summary, body, in_path: Vec<_>, handler| Endpoint {
        in_path,
        needs_body: true,
        body: Some(body),
        is_named: true,
        schema: Some("EntryAnswer"),
        problems: WRITING,
        ..Endpoint::post(path, summary, &KINDS, JSON, handler)
    };
    let of_visit = || VISIT.to_vec();
    vec![
        reads("/api/v1/visits", "The visits of the logbook.", "Document", vec![], || get(visits)),
        writes("/api/v1/visits", "Opens a visit.", "OpeningSent", vec![], || post(open)),
        reads(
            "/api/v1/equipment",
            "Regulators, circuits, meters and certificates the logbook knows.",
            "Document",
            vec![],
            || get(equipment),
        ),
        reads(
            "/api/v1/visits/{visit}",
            "A visit with its entries.",
            "Document",
            of_visit(),
            || get(visit),
        ),
        reads(
            "/api/v1/visits/{visit}/calibration",
            "How far a visit is, or what it came to: its readings, dangers, and what keeps it from being good.",
            "Document",
            of_visit(),
            || get(calibration),
        ),
        reads(
            "/api/v1/visits/{visit}/next",
            "What comes next in a visit that is open, with its cautions.",
            "NextPart",
            of_visit(),
            || get(next),
        ),
        writes(
            "/api/v1/visits/{visit}/entries",
            "Writes an entry: an answer, a reading, a trial, a remark, a correction, the closing.",
            "EntrySent",
            of_visit(),
            || post(enter),
        ),
    ]
}

/// Works with the logbook, one request after the other.
async fn with_logbook<T: Send + 'static>(
    shared: &Arc<Shared>,
    work: impl FnOnce(&Shared, &FilePath) -> Result<T, Problem> + Send + 'static,
) -> Result<T, Problem> {
    let at_work = Arc::clone(shared);
    let work = move || {
        let logbook = at_work.logbook.as_ref().ok_or_else(|| {
            Problem::new("not-found", "this server keeps no logbook")
                .with_hint("start it with --logbook FILE")
        })?;
        let path = logbook.lock().map_err(|_| Problem::new("internal", "a fault while writing"))?;
        work(&at_work, &path)
    };
    shared.desk.work(None, work).await
}

fn number(text: &str) -> Result<u64, Problem> {
    text.parse().map_err(|_| Problem::new("not-found", "there is no such visit"))
}

/// A visit of that number, or that there is none.
fn known(logbook: &Logbook, number: u64) -> Result<(), Problem> {
    match logbook.visit_row(number)? {
        Some(_) => Ok(()),
        None => Err(Problem::new("not-found", format!("there is no visit {number}"))),
    }
}

async fn visits(State(shared): State<Arc<Shared>>, request: Request) -> Result<Response, Problem> {
    Keys::of(request.uri(), &[])?;
    let read = |_: &Shared, path: &FilePath| {
        let logbook = Logbook::open_read_only(path)?;
        let document = VisitsDocument::new(&logbook, &logbook.visits()?);
        Ok(json_text(&Document::LogbookVisits(Box::new(document))))
    };
    with_logbook(&shared, read).await.map(|text| of_kind(JSON, text))
}

async fn equipment(
    State(shared): State<Arc<Shared>>,
    request: Request,
) -> Result<Response, Problem> {
    Keys::of(request.uri(), &[])?;
    let read = |_: &Shared, path: &FilePath| {
        let document = EquipmentDocument::of(&Logbook::open_read_only(path)?)?;
        Ok(json_text(&Document::LogbookEquipment(Box::new(document))))
    };
    with_logbook(&shared, read).await.map(|text| of_kind(JSON, text))
}

async fn visit(State(shared): State<Arc<Shared>>, path: Path<String>) -> Result<Response, Problem> {
    of_visit_asked(shared, path, |_, logbook, number| {
        let document = VisitDocument::of(&logbook, number)?;
        Ok(json_text(&Document::LogbookVisit(Box::new(document))))
    })
    .await
}

async fn calibration(
    State(shared): State<Arc<Shared>>,
    path: Path<String>,
) -> Result<Response, Problem> {
    of_visit_asked(shared, path, |shared, logbook, number| {
        let run = shared.reviewed(logbook, number)?;
        let document = CalibrationDocument::new(&run, true, true);
        Ok(json_text(&Document::Calibration(Box::new(document))))
    })
    .await
}

async fn next(State(shared): State<Arc<Shared>>, path: Path<String>) -> Result<Response, Problem> {
    of_visit_asked(shared, path, |shared, logbook, number| {
        let visit = logbook.visit(number)?;
        if visit.state() != VisitState::Open {
            return Ok(to_json(&NextPart::finished(&visit)));
        }
        Ok(to_json(&NextPart::of(&shared.resumed(logbook, number)?)))
    })
    .await
}

/// What the logbook tells of a visit that is in it.
async fn of_visit_asked(
    shared: Arc<Shared>,
    Path(visit): Path<String>,
    tell: impl FnOnce(&Shared, Logbook, u64) -> Result<String, Problem> + Send + 'static,
) -> Result<Response, Problem> {
    let read = move |shared: &Shared, path: &FilePath| {
        let (logbook, number) = (Logbook::open_read_only(path)?, number(&visit)?);
        known(&logbook, number)?;
        tell(shared, logbook, number)
    };
    with_logbook(&shared, read).await.map(|text| of_kind(JSON, text))
}

/// The name a client gave its entry.
fn name(headers: &HeaderMap) -> Result<String, Problem> {
    let named = headers.get(NAME).and_then(|value| value.to_str().ok());
    named.map(str::to_owned).ok_or_else(|| {
        Problem::new(
            "malformed",
            "an entry carries a name its client made, so that it is written once",
        )
        .with_field("Idempotency-Key")
        .with_allowed("8 to 64 letters, digits or hyphens, another for each entry")
    })
}

async fn sent<T: serde::de::DeserializeOwned>(
    shared: &Shared,
    request: Request,
) -> Result<(String, T), Problem> {
    Keys::of(request.uri(), &[])?;
    let name = name(request.headers())?;
    body::check_kind(request.headers(), &KINDS)?;
    let bytes = body::read(request, shared.limits.body_bytes, shared).await?;
    let sent = serde_json::from_slice(&bytes).map_err(|error| Problem {
        line: Some(error.line()).filter(|line| *line > 0),
        column: Some(error.column()).filter(|column| *column > 0),
        ..Problem::new("malformed", format!("the body: {error}"))
    })?;
    Ok((name, sent))
}

/// The logbook to write one entry into, unless it stands there already.
fn written(
    path: &FilePath,
    name: &str,
    by: &str,
    visit: Option<u64>,
) -> Result<Result<Logbook, LoggedEntry>, Problem> {
    let field = |field: &'static str| move |error| Problem::from(error).with_field(field);
    let logbook = Logbook::open(path)?.with_clock(Clock::from_environment()?);
    let logbook = logbook.with_sent_as(name).map_err(field("Idempotency-Key"))?;
    let logbook = logbook.with_person(by).map_err(field("by"))?;
    let Some(earlier) = logbook.sent(name)? else { return Ok(Ok(logbook)) };
    let is_same = visit.map_or(earlier.visit == Some(earlier.number), |visit| {
        earlier.visit == Some(visit) && earlier.number != visit
    });
    if is_same {
        return Ok(Err(earlier));
    }
    Err(Problem::new("conflict", format!("this name is that of entry {}", earlier.number))
        .with_field("Idempotency-Key"))
}

fn day(text: Option<&String>, field: &'static str) -> Result<Option<Date>, Problem> {
    let day = text.map(|text| Certificate::day(text)).transpose();
    day.map_err(|error| Problem::from(error).with_field(field))
}

async fn open(State(shared): State<Arc<Shared>>, request: Request) -> Result<Response, Problem> {
    let (name, asked): (String, OpeningSent) = sent(&shared, request).await?;
    check_words_opening(&asked)?;
    let ambient = asked.ambient_degc.map(|degc| Circumstances::AMBIENT_DEGC.check(degc));
    ambient.transpose().map_err(|error| Problem::from(error).with_field("ambient_degc"))?;
    let write = move |shared: &Shared, path: &FilePath| {
        let logbook = match written(path, &name, &asked.by, None)? {
            Ok(logbook) => logbook,
            Err(earlier) => {
                check_alike_opening(&earlier, &asked)?;
                return Ok(to_json(&EntryAnswer::again(&earlier)));
            }
        };
        let clock = Clock::from_environment()?;
        let day = day(asked.day.as_ref(), "day")?.unwrap_or_else(|| clock.today());
        let description = description(shared, &logbook, &asked.regulator)?;
        let meter = meter(&logbook, &description, &asked.meter, day)
            .map_err(|error| Problem::from(error).with_field("meter"))?;
        let sheet = meter.sheet.clone().unwrap_or_else(|| Sheet::ideal(meter.detector));
        let probability = asked.probability.unwrap_or(Terms::default().conformance_probability);
        Terms::CONFORMANCE_PROBABILITY
            .check(probability)
            .map_err(|error| Problem::from(error).with_field("probability"))?;
        let opening = Opening {
            regulator: asked.regulator.trim().to_owned(),
            circuit: asked.circuit.clone(),
            meter: meter.name.clone(),
            day,
            person: asked.by.trim().to_owned(),
            conditions: Conditions {
                ambient_degc: asked.ambient_degc,
                supply_rms_v: asked.supply_rms_v,
                tap: asked.tap.clone(),
                remark: asked.conditions.clone(),
            },
            description: description.runnable_text.clone(),
            sheet: sheet_text(&meter.name, &sheet),
            procedure: Procedure::embedded().text,
            conformance_probability: probability,
        };
        let run = Run::open(logbook, opening)?;
        let opened = run.visit().entries().first().expect("a visit has its opening");
        Ok(to_json(&EntryAnswer::of(opened, None)))
    };
    with_logbook(&shared, write).await.map(|text| of_kind(JSON, text))
}

/// The description the server was given; without one, what the logbook knows of the regulator.
fn description(
    shared: &Shared,
    logbook: &Logbook,
    regulator: &str,
) -> Result<Arc<Description>, Problem> {
    if !shared.is_example {
        return Ok(Arc::clone(&shared.description));
    }
    let card = logbook.regulator(regulator.trim())?.ok_or_else(|| {
        Problem::new(
            "inconsistent",
            "nothing is known of this regulator, and no visit is made to an invented one",
        )
        .with_field("regulator")
        .with_hint("start the server with its description, or add it to the logbook")
    })?;
    Ok(Arc::new(Description::parse(&card.card.description, FilePath::new(""))?))
}

/// The meter of the logbook with its newest certificate, else one of the description or a kind of meter.
fn meter(
    logbook: &Logbook,
    description: &Description,
    name: &str,
    day: Date,
) -> crate::error::Result<Meter> {
    if let Some(filed) = logbook.meter(name)? {
        let certificates = logbook.certificates(&filed.card.name)?;
        let certificates: Vec<_> = certificates.into_iter().map(|filed| filed.card).collect();
        return filed.card.meter_on(&certificates, day, description.frequency_hz);
    }
    named_meter(description, name)
}

async fn enter(
    State(shared): State<Arc<Shared>>,
    Path(visit): Path<String>,
    request: Request,
) -> Result<Response, Problem> {
    let (name, EntrySent { by, opening_hash, entry }): (String, EntrySent) =
        sent(&shared, request).await?;
    check_words(&by, &entry)?;
    let write = move |shared: &Shared, path: &FilePath| {
        let number = number(&visit)?;
        let logbook = match written(path, &name, &by, Some(number))? {
            Ok(logbook) => logbook,
            Err(earlier) => {
                check_alike(&earlier, &entry)?;
                return Ok(to_json(&EntryAnswer::again(&earlier)));
            }
        };
        known(&logbook, number)?;
        if let Some(hash) = opening_hash {
            check_same(&logbook, number, &hash)?;
        }
        let mut run = shared.resumed(logbook, number)?;
        let (logged, advice) = entered(&mut run, entry)?;
        Ok(to_json(&EntryAnswer::of(&logged, advice)))
    };
    with_logbook(&shared, write).await.map(|text| of_kind(JSON, text))
}

/// Whether the visit of that number is the one that was seen.
fn check_same(logbook: &Logbook, number: u64, seen_hash: &str) -> Result<(), Problem> {
    let visit = logbook.visit(number)?;
    if hash_of_opening(&visit) == seen_hash {
        return Ok(());
    }
    let Opening { regulator, person, day, .. } = visit.opening();
    let detail = format!(
        "visit {number} of this logbook is another one than this entry was made for: {regulator}, {person}, {day}"
    );
    Err(Problem::new("conflict", detail)
        .with_field("opening_hash")
        .with_hint("start the program with the logbook the visit was begun in, and send it again"))
}

/// What is asked for now is something else.
fn out_of_turn(next: &Next<'_>) -> Problem {
    let key = next.item().map_or("nothing", |item| item.key.as_str());
    Problem::new("conflict", format!("the procedure asks for something else now: {key}"))
        .with_field("entry")
        .with_hint("look what comes next; a wrong entry is corrected, not answered again")
}

/// Writes the entry if it is its turn; remarks and corrections always may.
fn entered(
    run: &mut Run<Logbook>,
    entry: EntryAsked,
) -> Result<(LoggedEntry, Option<String>), Problem> {
    let next = run.next();
    let current = next.item().map(|item| item.key.clone()).unwrap_or_default();
    let plain = |logged: crate::error::Result<LoggedEntry>| Ok((logged?, None));
    let typed =
        |text: &str| typed_current(text).map_err(|error| Problem::from(error).with_field("typed"));
    match entry {
        EntryAsked::Answer { item, holds, text } => match next {
            Next::Answer { item: asked, .. } | Next::Prove { item: asked, .. }
                if asked.key == item =>
            {
                match asked.kind {
                    ItemKind::Confirm { .. } if holds.is_none() => {
                        Err(Problem::new("malformed", "this item is answered yes or no")
                            .with_field("holds"))
                    }
                    ItemKind::Ask { optional: false, .. }
                        if text.as_deref().is_none_or(str::is_empty) =>
                    {
                        Err(Problem::new("malformed", "this item is answered in words")
                            .with_field("text"))
                    }
                    _ => plain(run.answer(&item, holds, text)),
                }
            }
            other => Err(out_of_turn(&other)),
        },
        EntryAsked::Reading { step, moment, output, typed: text, keep_doubtful } => {
            let (moment, output) = (moment_of(&moment)?, output_of(&output)?);
            let is_turn = matches!(next, Next::Read { step: s, moment: m, output: o, .. }
                if (s, m, o) == (step, moment, output));
            if !is_turn {
                return Err(out_of_turn(&next));
            }
            let candidate = Candidate { step, moment, output, shown_a: typed(&text)? };
            let reading = run.weigh(candidate, &text)?;
            let asked = |code: &str| Candidate::ASKED.contains(&code);
            if let Some(doubt) = reading.doubts.iter().find(|doubt| asked(&doubt.code))
                && !keep_doubtful
            {
                return Err(Problem::new("conflict", doubt.text.clone())
                    .with_field("typed")
                    .with_hint(
                        "look again; to keep it with its doubt, send it with keep_doubtful",
                    ));
            }
            let (_, sentence) = run.advice(&reading);
            Ok((run.read(reading)?, Some(sentence)))
        }
        EntryAsked::LeaveStep { step, moment, reason } => {
            let moment = moment_of(&moment)?;
            let is_turn =
                matches!(next, Next::Read { step: s, moment: m, .. } if (s, m) == (step, moment));
            if !is_turn {
                return Err(out_of_turn(&next));
            }
            let reason = reason.filter(|reason| !reason.trim().is_empty()).ok_or_else(|| {
                Problem::new("malformed", "a step is left as it is with the reason")
                    .with_field("reason")
                    .with_hint("say why; it stands in the record")
            })?;
            plain(run.leave_step(&current, step, moment, Some(reason)))
        }
        EntryAsked::Proof { item, acted, shown, time, remark } => {
            let Next::Prove { item: asked, .. } = &next else { return Err(out_of_turn(&next)) };
            if asked.key != item {
                return Err(out_of_turn(&next));
            }
            let shown_a = shown.as_deref().map(typed_current).transpose();
            let shown_a = shown_a.map_err(|error| Problem::from(error).with_field("shown"))?;
            let time_s = time.as_deref().map(ProtectionProof::typed_time).transpose();
            let time_s = time_s.map_err(|error| Problem::from(error).with_field("time"))?;
            let Some(proof) = run.proof(asked, acted, shown_a, time_s) else {
                return Err(out_of_turn(&next));
            };
            let proof = ProtectionProof { remark, ..proof };
            plain(run.prove(proof))
        }
        EntryAsked::Remark { text } => plain(run.remark(text)),
        EntryAsked::Correction { entry, typed: text } => {
            let reading = run.correct(entry, &text, typed(&text)?)?;
            let (_, sentence) = run.advice(&reading);
            let logged = run.visit().entries().last().expect("the correction was just written");
            Ok((logged.clone(), Some(sentence)))
        }
        EntryAsked::TakeBack { entry } => {
            let last = run.last_answer().map(|logged| logged.number);
            if let Some(seen) = entry.filter(|seen| Some(*seen) != last) {
                let now = last.map_or("there is none now".to_owned(), |last| {
                    format!("that is entry {last} now")
                });
                let detail =
                    format!("entry {seen} is not the last one that can be taken back: {now}");
                return Err(Problem::new("conflict", detail).with_field("entry").with_hint(
                    "look at the list of entries again; a reading before the last is corrected",
                ));
            }
            let old = run.take_back()?;
            let logged = run.visit().entries().last().filter(|_| old.is_some());
            let logged = logged.ok_or_else(|| Error::inconsistent("there is nothing to take back"));
            plain(logged.cloned())
        }
        EntryAsked::Closing { complete, next_due, remark } => {
            let next_due = day(next_due.as_ref(), "next_due")?;
            if complete && !matches!(next, Next::Close { .. }) {
                return Err(out_of_turn(&next));
            }
            let opening = run.visit().opening();
            if let Some(day) = next_due.filter(|day| *day <= opening.day) {
                let error = Error::inconsistent(format!("{day} is not after this visit"));
                return Err(Problem::from(error).with_field("next_due"));
            }
            let person = opening.person.clone();
            plain(run.close(Closing { complete, person, next_due, remark }))
        }
    }
}
