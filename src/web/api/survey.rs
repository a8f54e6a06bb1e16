use std::sync::Arc;

use axum::extract::{Request, State};
use axum::response::Response;
use axum::routing::{get, post};

use crate::report::{Document, SurveyDocument};

use super::super::endpoint::Endpoint;
use super::super::problem::Problem;
use super::super::query::Keys;
use super::super::sent::Sent;
use super::super::shared::Shared;
use super::answers::{JSON, json_text, of_kind};
use super::situation::SENT_PROBLEMS;

const PATH: &str = "/api/v1/survey";
const PROBLEMS: &[&str] =
    &["malformed", "out-of-range", "inconsistent", "not-converged", "overtaken"];

pub(super) fn endpoints() -> Vec<Endpoint> {
    let own = Endpoint {
        schema: Some("Document"),
        problems: PROBLEMS,
        ..Endpoint::get(
            PATH,
            "Every meter of the server's description at every brightness step.",
            JSON,
            || get(own),
        )
    };
    let sent = Endpoint {
        schema: Some("Document"),
        problems: SENT_PROBLEMS,
        ..Endpoint::post(
            PATH,
            "Every meter of the description sent at every brightness step.",
            &Sent::DESCRIPTION,
            JSON,
            || post(sent),
        )
    };
    vec![own, sent]
}

async fn own(State(shared): State<Arc<Shared>>, request: Request) -> Result<Response, Problem> {
    Keys::of(request.uri(), &[])?;
    judged(&shared, &request.headers().clone(), Sent::default()).await
}

async fn sent(State(shared): State<Arc<Shared>>, request: Request) -> Result<Response, Problem> {
    Keys::of(request.uri(), &[])?;
    let headers = request.headers().clone();
    let sent = Sent::read(&shared, request, &Sent::DESCRIPTION).await?;
    judged(&shared, &headers, sent).await
}

async fn judged(
    shared: &Arc<Shared>,
    headers: &axum::http::HeaderMap,
    sent: Sent,
) -> Result<Response, Problem> {
    let turn = shared.clients.turn(headers)?;
    let at_work = Arc::clone(shared);
    let work = move || {
        let description = sent.description(&at_work)?;
        let cases = description.cases()?;
        let mut notes = cases.notes;
        let survey = description.survey(&cases.value)?;
        let recheck = description.recheck(&survey)?.map(|noted| {
            notes.extend(noted.notes);
            noted.value
        });
        let document = SurveyDocument::new(&description, &survey, recheck.as_ref(), &notes);
        Ok(json_text(&Document::Survey(Box::new(document))))
    };
    let text = shared.desk.work(turn, work).await?;
    Ok(of_kind(JSON, text))
}
