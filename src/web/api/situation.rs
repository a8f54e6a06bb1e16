use std::sync::Arc;

use axum::extract::State;
use axum::http::{HeaderMap, Uri};
use axum::response::Response;
use axum::routing::get;

use crate::report::{Document, SituationDocument};
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
    vec![situation]
}

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
        let seen = at_work.with_solver(|solver| solver.seen(&situation))?;
        let document = SituationDocument::new(&at_work.description, &seen);
        Ok(json_text(&Document::Situation(Box::new(document))))
    };
    shared.desk.work(turn, work).await
}
