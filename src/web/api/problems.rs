use axum::extract::Path;
use axum::response::Response;
use axum::routing::get;

use super::super::endpoint::Endpoint;
use super::super::problem::Problem;
use super::answers::of_kind;

const TEXT: &str = "text/plain; charset=utf-8";

pub(super) fn endpoints() -> Vec<Endpoint> {
    let mut meaning =
        Endpoint::get("/api/v1/problems/{kind}", "What a kind of problem means.", TEXT, || {
            get(meaning)
        });
    meaning.in_path = vec![("kind", "the last part of a problem's type", "out-of-range")];
    meaning.problems = &["not-found"];
    vec![meaning]
}

async fn meaning(Path(kind): Path<String>) -> Result<Response, Problem> {
    let known = Problem::KINDS.into_iter().find(|(key, ..)| *key == kind);
    let (_, status, title, meaning) = known.ok_or_else(|| {
        let keys: Vec<&str> = Problem::KINDS.iter().map(|(key, ..)| *key).collect();
        Problem::new("not-found", "there is no such kind of problem").with_allowed(keys.join(", "))
    })?;
    Ok(of_kind(TEXT, format!("{title} ({status})\n{meaning}\n")))
}
