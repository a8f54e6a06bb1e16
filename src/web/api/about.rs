use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::Uri;
use axum::response::Response;
use axum::routing::{get, post};

use crate::meter::Archetype;
use crate::report::{Document, MetersDocument, to_json};

use super::super::choices::Choices;
use super::super::endpoint::Endpoint;
use super::super::open_api;
use super::super::problem::Problem;
use super::super::query::Keys;
use super::super::sent::Sent;
use super::super::shared::Shared;
use super::answers::{JSON, TOML, json_text, of_kind};

pub(super) fn endpoints() -> Vec<Endpoint> {
    let with_schema = |schema, endpoint| Endpoint { schema: Some(schema), ..endpoint };
    vec![
        Endpoint::get("/api/v1/openapi.json", "This document.", JSON, || get(open_api)),
        with_schema(
            "Choices",
            Endpoint::get("/api/v1/choices", "What a page may offer to choose from.", JSON, || {
                get(choices)
            }),
        ),
        Endpoint {
            schema: Some("Choices"),
            problems: &[
                "malformed",
                "out-of-range",
                "inconsistent",
                "too-large",
                "too-slow",
                "media-type",
            ],
            ..Endpoint::post(
                "/api/v1/choices",
                "The same for the description that is sent.",
                &Sent::DESCRIPTION,
                JSON,
                || post(choices_of_sent),
            )
        },
        Endpoint::get(
            "/api/v1/description",
            "The description the server answers about.",
            TOML,
            || get(description),
        ),
        with_schema(
            "Document",
            Endpoint::get(
                "/api/v1/meters",
                "Kinds of meter with a data sheet to begin from.",
                JSON,
                || get(meters),
            ),
        ),
    ]
}

async fn open_api(uri: Uri) -> Result<Response, Problem> {
    Keys::of(&uri, &[])?;
    Ok(of_kind(JSON, to_json(&open_api::document())))
}

async fn choices(State(shared): State<Arc<Shared>>, uri: Uri) -> Result<Response, Problem> {
    Keys::of(&uri, &[])?;
    Ok(of_kind(JSON, to_json(&Choices::of(&shared, &shared.description))))
}

async fn choices_of_sent(
    State(shared): State<Arc<Shared>>,
    request: Request,
) -> Result<Response, Problem> {
    Keys::of(request.uri(), &[])?;
    let sent = Sent::read(&shared, request, &Sent::DESCRIPTION).await?;
    let at_work = Arc::clone(&shared);
    let work = move || Ok(to_json(&Choices::of(&at_work, &*sent.description(&at_work)?)));
    let text = shared.desk.work(None, work).await?;
    Ok(of_kind(JSON, text))
}

async fn description(State(shared): State<Arc<Shared>>, uri: Uri) -> Result<Response, Problem> {
    Keys::of(&uri, &[])?;
    Ok(of_kind(TOML, shared.description.runnable_text.clone()))
}

async fn meters(uri: Uri) -> Result<Response, Problem> {
    Keys::of(&uri, &[])?;
    let document = MetersDocument::new(&Archetype::ALL);
    Ok(of_kind(JSON, json_text(&Document::Meters(Box::new(document)))))
}
