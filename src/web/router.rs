use std::sync::Arc;

use axum::Router;
use axum::http::{Method, Uri};
use axum::middleware;

use super::assets;
use super::endpoint::endpoints;
use super::guard::guarded;
use super::headers::with_headers;
use super::problem::Problem;
use super::shared::Shared;

/// Every address the server answers.
pub(super) fn router(shared: &Arc<Shared>) -> Router {
    let mut router = Router::new();
    for endpoint in endpoints() {
        router = router.route(endpoint.path, (endpoint.handler)());
    }
    for asset in assets::ALL {
        router =
            router.route(asset.path, axum::routing::get(move || async move { asset.answer() }));
    }
    router
        .fallback(nothing_here)
        .method_not_allowed_fallback(other_method)
        .layer(middleware::from_fn_with_state(Arc::clone(shared), guarded))
        .layer(middleware::from_fn(with_headers))
        .with_state(Arc::clone(shared))
}

async fn nothing_here() -> Problem {
    Problem::new("not-found", "there is nothing at this address")
        .with_hint("/api/v1/openapi.json lists what there is")
}

async fn other_method(method: Method, uri: Uri) -> Problem {
    let own = endpoints().into_iter().filter(|endpoint| fits(endpoint.path, uri.path()));
    let mut allowed: Vec<&str> = own.map(|endpoint| endpoint.method).collect();
    if allowed.is_empty() {
        allowed.push("GET");
    }
    if allowed.contains(&"GET") {
        allowed.push("HEAD");
    }
    let allowed = allowed.join(", ");
    let mut problem = Problem::new("method", format!("{method} is not for this address"))
        .with_allowed(allowed.clone());
    problem.allow = Some(allowed);
    problem
}

/// Whether a path is one of those a pattern means.
fn fits(pattern: &str, path: &str) -> bool {
    let (mut expected, mut found) = (pattern.split('/'), path.split('/'));
    loop {
        match (expected.next(), found.next()) {
            (None, None) => return true,
            (Some(part), Some(name)) if part == name || part.starts_with('{') => {}
            _ => return false,
        }
    }
}
