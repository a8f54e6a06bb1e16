use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::{HeaderMap, Method, Uri};
use axum::response::Response;
use axum::routing::{get, post};

use crate::report::{Document, SituationDocument, SituationPairDocument};
use crate::situation::Situation;

use super::super::client_queue::Turn;
use super::super::endpoint::Endpoint;
use super::super::problem::Problem;
use super::super::query;
use super::super::sent::Sent;
use super::super::shared::Shared;
use super::answers::{JSON, json_text, of_kind};

const PATH: &str = "/api/v1/situation";
/// What may be wrong with a situation of the server's description.
pub(super) const PROBLEMS: &[&str] =
    &["malformed", "out-of-range", "inconsistent", "not-converged", "overtaken"];
/// What may be wrong with one of a description that is sent.
pub(super) const SENT_PROBLEMS: &[&str] = &[
    "malformed",
    "out-of-range",
    "inconsistent",
    "not-converged",
    "overtaken",
    "too-large",
    "too-slow",
    "media-type",
];

pub(super) fn endpoints() -> Vec<Endpoint> {
    let own = Endpoint {
        query: keys(),
        schema: Some("Document"),
        problems: PROBLEMS,
        ..Endpoint::get(
            PATH,
            "What is seen at the bench: the current, its shape, what each meter shows.",
            JSON,
            || get(situation),
        )
    };
    let sent = Endpoint {
        query: keys(),
        schema: Some("Document"),
        problems: SENT_PROBLEMS,
        ..Endpoint::post(
            PATH,
            "The same for the description that is sent.",
            &Sent::DESCRIPTION,
            JSON,
            || post(situation),
        )
    };
    let mut pair = Endpoint::get(
        "/api/v1/situation/pair",
        "Two situations side by side: the second is the first but for what stands behind `against.`.",
        JSON,
        || get(pair),
    );
    pair.query = keys();
    pair.query.extend(
        AGAINST.into_iter().zip(keys()).map(|(key, (_, allowed, example))| (key, allowed, example)),
    );
    pair.schema = Some("Document");
    pair.problems = PROBLEMS;
    vec![own, sent, pair]
}

/// The keys of what is other in the second situation, in the order of [`Situation::KEYS`].
const AGAINST: [&str; 7] = [
    "against.step",
    "against.load",
    "against.lamps-out",
    "against.meter",
    "against.sense",
    "against.supply-voltage",
    "against.supply-frequency",
];

/// The keys of a situation.
pub(super) fn keys() -> Vec<(&'static str, String, &'static str)> {
    let key = |key| (key, Situation::allowed(key), Situation::example(key));
    Situation::KEYS.into_iter().map(key).collect()
}

/// What a request asks about: the pairs of its query, and a description if it brings one.
#[derive(Debug)]
pub(super) struct Asked {
    pub(super) turn: Option<Turn>,
    pub(super) pairs: Vec<(String, String)>,
    pub(super) sent: Sent,
}

impl Asked {
    pub(super) async fn read(shared: &Shared, request: Request) -> Result<Self, Problem> {
        let turn = shared.clients.turn(request.headers())?;
        let uri: Uri = request.uri().clone();
        let pairs = query::pairs(&uri)?;
        let sent = match *request.method() {
            Method::POST => Sent::read(shared, request, &Sent::DESCRIPTION).await?,
            _ => Sent::default(),
        };
        Ok(Self { turn, pairs, sent })
    }
}

async fn situation(
    State(shared): State<Arc<Shared>>,
    request: Request,
) -> Result<Response, Problem> {
    let Asked { turn, pairs, sent } = Asked::read(&shared, request).await?;
    let at_work = Arc::clone(&shared);
    let work = move || {
        let description = sent.description(&at_work)?;
        let situation = query::situation(&pairs, &description)?;
        let seen = Shared::solver(&description).seen(&situation)?;
        let document = SituationDocument::new(&description, &seen);
        Ok(json_text(&Document::Situation(Box::new(document))))
    };
    let text = shared.desk.work(turn, work).await?;
    Ok(of_kind(JSON, text))
}

async fn pair(
    State(shared): State<Arc<Shared>>,
    headers: HeaderMap,
    uri: Uri,
) -> Result<Response, Problem> {
    let turn = shared.clients.turn(&headers)?;
    let pairs = query::pairs(&uri)?;
    let (against, own): (Vec<_>, Vec<_>) =
        pairs.into_iter().partition(|(key, _)| AGAINST.contains(&key.as_str()));
    let one = query::situation(&own, &shared.description)?;
    let mut other = own;
    for (key, value) in against {
        let key = key.trim_start_matches("against.").to_owned();
        other.retain(|(earlier, _)| *earlier != key);
        other.push((key, value));
    }
    let other = query::situation(&other, &shared.description)?;
    let at_work = Arc::clone(&shared);
    let work = move || {
        let description = &at_work.description;
        let one = Shared::solver(description).seen(&one)?;
        let other = Shared::solver(description).seen(&other)?;
        let document = SituationPairDocument::new(description, &one, &other);
        Ok(json_text(&Document::SituationPair(Box::new(document))))
    };
    shared.desk.work(turn, work).await.map(|text| of_kind(JSON, text))
}
