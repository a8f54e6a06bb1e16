use std::sync::Arc;

use axum::routing::MethodRouter;

use super::api;
use super::shared::Shared;

/// One address and method below `/api/v1`: what it does, takes and gives, and who answers it.
///
/// The router and the OpenAPI document are both made from the list of these.
#[derive(Clone, Debug)]
pub struct Endpoint {
    /// The method, in capitals.
    pub method: &'static str,
    /// The path; what varies stands in braces.
    pub path: &'static str,
    /// What it does, in a sentence.
    pub summary: &'static str,
    /// Keys of the query: name, what is allowed, an example.
    pub query: Vec<(&'static str, String, &'static str)>,
    /// What the path's braces hold: name, what is allowed, an example.
    pub in_path: Vec<(&'static str, &'static str, &'static str)>,
    /// Media types of the body it reads; none when it reads no body.
    pub takes: &'static [&'static str],
    /// Whether a body must be sent.
    pub needs_body: bool,
    /// Name of the schema of a JSON body.
    pub body: Option<&'static str>,
    /// Whether what is sent carries a name its client made, so that it counts once.
    pub is_named: bool,
    /// Status of success.
    pub status: u16,
    /// Media type of success.
    pub gives: &'static str,
    /// Name of the schema of a JSON answer.
    pub schema: Option<&'static str>,
    /// Kinds of problem it may answer with, beside those every endpoint may.
    pub problems: &'static [&'static str],
    pub(super) handler: fn() -> MethodRouter<Arc<Shared>>,
}

impl Endpoint {
    /// An endpoint that reads nothing but its address.
    pub(super) fn get(
        path: &'static str,
        summary: &'static str,
        gives: &'static str,
        handler: fn() -> MethodRouter<Arc<Shared>>,
    ) -> Self {
        Self {
            method: "GET",
            path,
            summary,
            query: Vec::new(),
            in_path: Vec::new(),
            takes: &[],
            needs_body: false,
            body: None,
            is_named: false,
            status: 200,
            gives,
            schema: None,
            problems: &[],
            handler,
        }
    }

    /// An endpoint that reads a body.
    pub(super) fn post(
        path: &'static str,
        summary: &'static str,
        takes: &'static [&'static str],
        gives: &'static str,
        handler: fn() -> MethodRouter<Arc<Shared>>,
    ) -> Self {
        Self { method: "POST", takes, ..Self::get(path, summary, gives, handler) }
    }
}

/// Every endpoint, in the order of the document.
#[must_use]
pub fn endpoints() -> Vec<Endpoint> {
    api::endpoints()
}
