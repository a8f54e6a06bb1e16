use std::sync::Arc;

use axum::extract::State;
use axum::http::{HeaderMap, Uri};
use axum::response::Response;
use axum::routing::get;

use crate::report::{Document, SituationDocument, SituationPairDocument};
use crate::situation::Situation;

use super::super::client_queue::Turn;
use super::super::endpoint::Endpoint;
use super::super::problem::Problem;
use super::super::query;
use super::super::shared::Shared;
use super::answers::{JSON, json_text, of_kind};

pub(super) fn endpoints() -> Vec<Endpoint> {
    let mut situation = Endpoint::get(
        "/api/v1/situation",
        "What is seen at the bench: the current, its shape, what each meter shows.",
        JSON,
        || get(situation),
    );
    situation.query = keys();
    situation.schema = Some("Document");
    situation.problems =
        &["malformed", "out-of-range", "inconsistent", "not-converged", "overtaken"];
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
    pair.problems = situation.problems;
    vec![situation, pair]
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

async fn situation(
    State(shared): State<Arc<Shared>>,
    headers: HeaderMap,
    uri: Uri,
) -> Result<Response, Problem> {
    let turn = shared.clients.turn(&headers)?;
    let situation = query::situation(&query::pairs(&uri)?, &shared.description)?;
    let text = seen(&shared, turn, situation).await?;
    Ok(of_kind(JSON, text))
}

async fn seen(
    shared: &Arc<Shared>,
    turn: Option<Turn>,
    situation: Situation,
) -> Result<String, Problem> {
    let at_work = Arc::clone(shared);
    let work = move || {
        let seen = at_work.solver().seen(&situation)?;
        let document = SituationDocument::new(&at_work.description, &seen);
        Ok(json_text(&Document::Situation(Box::new(document))))
    };
    shared.desk.work(turn, work).await
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
        let (one, other) = (at_work.solver().seen(&one)?, at_work.solver().seen(&other)?);
        let document = SituationPairDocument::new(&at_work.description, &one, &other);
        Ok(json_text(&Document::SituationPair(Box::new(document))))
    };
    shared.desk.work(turn, work).await.map(|text| of_kind(JSON, text))
}
