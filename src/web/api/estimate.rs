use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

use axum::extract::{Path, Request, State};
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use axum::routing::{delete, get, post};
use futures_util::stream::unfold;
use tokio::sync::watch;

use crate::description::{Description, RegulatorSetup, Tolerance};
use crate::error::{Bounds, Error};
use crate::report::{Document, EstimateDocument, to_json};
use crate::study::{CircuitEstimate, EstimateOptions, VariedCircuit};
use crate::units::{Dimension, parse_or_bare};

use super::super::endpoint::Endpoint;
use super::super::estimates::{Estimate, EstimateState, Told};
use super::super::problem::Problem;
use super::super::query::Keys;
use super::super::sent::Sent;
use super::super::shared::Shared;
use super::answers::{JSON, json_text, of_kind};

const KEYS: [&str; 5] = ["step", "load", "circuits", "pairs", "seed"];
const EVENTS: &str = "text/event-stream";
/// Progress is told no more often.
const BETWEEN_EVENTS: Duration = Duration::from_millis(100);

pub(super) fn endpoints() -> Vec<Endpoint> {
    let default = EstimateOptions::default();
    let query = vec![
        ("step", "numbers of steps, separated by commas; all when left out".to_owned(), "1"),
        (
            "load",
            format!("share of the rated load instead of the field, {}", RegulatorSetup::LOAD_RATIO),
            "60 %",
        ),
        (
            "circuits",
            format!("circuits, {}; {} when left out", EstimateOptions::CIRCUITS, default.circuits),
            "300",
        ),
        ("pairs", format!("pairs for the indices, or 0; {} when left out", default.pairs), "40"),
        ("seed", format!("seed of the random numbers; {} when left out", default.seed), "1"),
    ];
    let number = vec![("number", "number of an estimate", "1")];
    let begin = Endpoint {
        query,
        status: 202,
        schema: Some("EstimateStatus"),
        problems: &[
            "malformed",
            "out-of-range",
            "inconsistent",
            "too-large",
            "too-slow",
            "media-type",
        ],
        ..Endpoint::post(
            "/api/v1/estimates",
            "Begins an estimate with intervals over the tolerances; it runs on by itself.",
            &Sent::DESCRIPTION,
            JSON,
            || post(begin),
        )
    };
    let result = Endpoint {
        in_path: number.clone(),
        schema: Some("EstimateAnswer"),
        problems: &["not-found", "conflict", "inconsistent", "not-converged"],
        ..Endpoint::get(
            "/api/v1/estimates/{number}",
            "The estimate once it is done; until then how far it is.",
            JSON,
            || get(result),
        )
    };
    let cancel = Endpoint {
        method: "DELETE",
        in_path: number.clone(),
        status: 204,
        problems: &["not-found"],
        ..Endpoint::get("/api/v1/estimates/{number}", "Ends an estimate.", "", || delete(cancel))
    };
    let events = Endpoint {
        in_path: number,
        problems: &["not-found"],
        ..Endpoint::get(
            "/api/v1/estimates/{number}/events",
            "Its progress as server-sent events: `progress`, then `done`, `failed` or `cancelled`.",
            EVENTS,
            || get(events),
        )
    };
    vec![begin, result, cancel, events]
}

/// What is asked, as it was written.
#[derive(Debug)]
struct Asked {
    steps: Vec<u32>,
    load_ratio: Option<f64>,
    options: EstimateOptions,
}

impl Asked {
    fn of(keys: &Keys, most_circuits: u64) -> Result<Self, Problem> {
        let whole = |text: &str| {
            let malformed = |_| Error::malformed("a whole number", format!("\"{text}\""));
            text.trim().parse::<u64>().map_err(malformed)
        };
        let default = EstimateOptions::default();
        let options = EstimateOptions {
            circuits: keys.read("circuits", whole)?.unwrap_or(default.circuits),
            pairs: keys.read("pairs", whole)?.unwrap_or(default.pairs),
            seed: keys.read("seed", whole)?.unwrap_or(default.seed),
        };
        let allowed = format!("{} to {most_circuits}", EstimateOptions::CIRCUITS.min);
        // Of two bounds the one of this server is told, also to who asks for too few.
        let is_few = EstimateOptions { pairs: 0, ..options }.check().is_err();
        if is_few || options.circuits > most_circuits {
            let detail =
                format!("{} circuits: this server solves {allowed} at once", options.circuits);
            return Err(Problem::new("out-of-range", detail)
                .with_field("circuits")
                .with_allowed(allowed)
                .with_hint("`loopcrest estimate` takes more"));
        }
        let options = options.check()?;
        let steps = keys.read("step", |text| {
            let parts = text.split(',').map(str::trim).filter(|part| !part.is_empty());
            let malformed =
                |part: &str| Error::malformed("numbers of steps", format!("\"{part}\""));
            parts.map(|part| part.parse().map_err(|_| malformed(part))).collect()
        })?;
        let load = |text: &str| {
            let bounds: Bounds = RegulatorSetup::LOAD_RATIO;
            parse_or_bare(text, Dimension::Ratio, "").and_then(|ratio| bounds.check(ratio))
        };
        Ok(Self { steps: steps.unwrap_or_default(), load_ratio: keys.read("load", load)?, options })
    }

    /// The description, on a share of the rated load instead of its field when one is asked for.
    fn described(&self, description: &Description) -> Result<Description, Error> {
        let mut description = description.clone();
        let Some(ratio) = self.load_ratio else { return Ok(description) };
        let mut setup = description
            .regulator
            .clone()
            .ok_or_else(|| Error::inconsistent("the description has no [regulator] to solve"))?;
        setup.load_ratio = ratio;
        description.regulator = Some(setup);
        description.field = None;
        description.refresh_tolerances();
        Ok(description)
    }
}

async fn begin(State(shared): State<Arc<Shared>>, request: Request) -> Result<Response, Problem> {
    let asked = Asked::of(&Keys::of(request.uri(), &KEYS)?, shared.limits.circuits)?;
    let sent = Sent::read(&shared, request, &Sent::DESCRIPTION).await?;
    let at_work = Arc::clone(&shared);
    // What cannot be estimated is said now and not as an event.
    let prepare = move || {
        let description = asked.described(&*sent.description(&at_work)?)?;
        let circuit = VariedCircuit::new(&description, &asked.steps)?;
        Ok((description, circuit, asked.options))
    };
    let (description, circuit, options) = shared.desk.work(None, prepare).await?;
    let estimate = shared.estimates.begin()?;
    let status = to_json(&estimate.status());
    let path = estimate.path();
    let at_work = Arc::clone(&shared);
    tokio::spawn(async move {
        let mut states = estimate.states();
        let mut stopping = at_work.stopping.clone();
        let turn = tokio::select! {
            turn = Arc::clone(&at_work.estimates.turn).acquire_owned() => turn,
            _ = states.wait_for(EstimateState::is_over) => return,
            _ = stopping.wait_for(|is_stopping| *is_stopping) => return,
        };
        let work = move || {
            let _turn = turn;
            let mut told = Told { estimate: Arc::clone(&estimate), stopping };
            let tolerances = Tolerance::in_use(&description);
            let answer = CircuitEstimate::of(&circuit, &tolerances, options, &mut told);
            let text = answer.map(|answer| {
                let document = EstimateDocument::new(&description, &circuit, &answer);
                json_text(&Document::Estimate(Box::new(document)))
            });
            estimate.end(text.map_err(Problem::from));
        };
        let _ = tokio::task::spawn_blocking(work).await;
    });
    let mut response = of_kind(JSON, status);
    *response.status_mut() = StatusCode::ACCEPTED;
    if let Ok(path) = HeaderValue::from_str(&path) {
        response.headers_mut().insert(header::LOCATION, path);
    }
    Ok(response)
}

async fn result(
    State(shared): State<Arc<Shared>>,
    Path(number): Path<String>,
) -> Result<Response, Problem> {
    let estimate = shared.estimates.find(&number)?;
    match estimate.state() {
        EstimateState::Done(text) => Ok(of_kind(JSON, text.as_bytes())),
        EstimateState::Failed(problem) => Err(*problem),
        EstimateState::Cancelled => {
            Err(Problem::new("conflict", "the estimate was ended before its end"))
        }
        EstimateState::Waiting | EstimateState::Running { .. } => {
            Ok(of_kind(JSON, to_json(&estimate.status())))
        }
    }
}

async fn cancel(
    State(shared): State<Arc<Shared>>,
    Path(number): Path<String>,
) -> Result<StatusCode, Problem> {
    shared.estimates.find(&number)?.cancel();
    Ok(StatusCode::NO_CONTENT)
}

/// Someone who follows an estimate.
struct Following {
    estimate: Arc<Estimate>,
    states: watch::Receiver<EstimateState>,
    stopping: watch::Receiver<bool>,
    has_begun: bool,
    is_over: bool,
}

async fn events(
    State(shared): State<Arc<Shared>>,
    Path(number): Path<String>,
) -> Result<Response, Problem> {
    let estimate = shared.estimates.find(&number)?;
    let following = Following {
        states: estimate.states(),
        estimate,
        stopping: shared.stopping.clone(),
        has_begun: false,
        is_over: false,
    };
    Ok(Sse::new(unfold(following, next)).keep_alive(KeepAlive::default()).into_response())
}

async fn next(mut following: Following) -> Option<(Result<Event, Infallible>, Following)> {
    if following.is_over {
        return None;
    }
    if following.has_begun {
        tokio::select! {
            changed = following.states.changed() => changed.ok()?,
            _ = following.stopping.wait_for(|is_stopping| *is_stopping) => return None,
        }
        tokio::time::sleep(BETWEEN_EVENTS).await;
    }
    following.has_begun = true;
    let state = following.states.borrow_and_update().clone();
    following.is_over = state.is_over();
    let name = match &state {
        EstimateState::Waiting | EstimateState::Running { .. } => "progress",
        over => over.key(),
    };
    let data = match state {
        EstimateState::Failed(problem) => serde_json::to_string(&problem),
        _ => serde_json::to_string(&following.estimate.status()),
    };
    let event = Event::default().event(name).data(data.unwrap_or_default());
    Some((Ok(event), following))
}
