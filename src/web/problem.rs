use axum::http::{HeaderName, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use schemars::JsonSchema;
use serde::Serialize;

use crate::error::{Error, ErrorKind};
use crate::report::to_json;

/// What went wrong with a request: a problem document after RFC 9457, with fields of ours.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Problem {
    /// Which kind of problem; the reference answers with what it means.
    #[serde(rename = "type")]
    pub kind: String,
    /// The kind in a few words, the same every time.
    pub title: String,
    /// The status of the answer.
    pub status: u16,
    /// This one in a sentence.
    pub detail: String,
    /// The key, field or header it is about.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub field: Option<String>,
    /// What is allowed there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub allowed: Option<String>,
    /// What to try.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hint: Option<String>,
    /// Line of the text sent, from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<usize>,
    /// Column of the text sent, in characters from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub column: Option<usize>,
    /// Seconds after which to try again.
    #[serde(skip)]
    pub retry_after_s: Option<u32>,
    /// Methods that are allowed, when that is the problem.
    #[serde(skip)]
    pub allow: Option<String>,
}

impl Problem {
    /// Media type of a problem document.
    pub const MEDIA_TYPE: &'static str = "application/problem+json";
    /// Every kind with its status, its title and what it means.
    pub const KINDS: [(&'static str, u16, &'static str, &'static str); 20] = [
        ("malformed", 422, "cannot be read", "A value or a text cannot be read as it should."),
        ("out-of-range", 422, "out of range", "A value lies outside what the model allows."),
        (
            "inconsistent",
            422,
            "does not fit together",
            "Values contradict each other, or one is missing.",
        ),
        (
            "not-converged",
            422,
            "no solution found",
            "The circuit could not be solved: give it an easier case.",
        ),
        ("files", 500, "files", "A file of the server could not be read or written."),
        ("bad-request", 400, "bad request", "The request itself cannot be understood."),
        (
            "unauthorised",
            401,
            "access token needed",
            "Open the address that was shown when the server started.",
        ),
        ("forbidden", 403, "not from here", "The request comes from another site's page."),
        ("misdirected", 421, "not this server", "The name in `Host` is none of this server's."),
        ("not-found", 404, "not found", "There is nothing at this address."),
        ("method", 405, "method not allowed", "The address exists; this method does not."),
        ("conflict", 409, "conflicts with what is kept", "What is kept says something else."),
        ("overtaken", 409, "overtaken", "A newer request of the same client came first."),
        ("too-large", 413, "too large", "The body is larger than the server takes."),
        ("media-type", 415, "media type", "The body is not of a kind that is read here."),
        ("too-slow", 408, "too slow", "The body did not come in time."),
        ("busy", 503, "busy", "Too much is asked at once; try again."),
        ("stopping", 503, "stopping", "The server is about to end."),
        ("took-too-long", 503, "took too long", "The answer was not ready in time; ask for less."),
        (
            "internal",
            500,
            "a fault of the program",
            "This is a fault of the program; please report it.",
        ),
    ];

    /// A problem of a kind in [`Self::KINDS`].
    ///
    /// # Panics
    /// Never for a kind of the list; a test goes through those in use.
    #[must_use]
    pub fn new(kind: &str, detail: impl Into<String>) -> Self {
        let (key, status, title, _) = Self::KINDS
            .into_iter()
            .find(|(key, ..)| *key == kind)
            .expect("kinds are those of the list");
        Self {
            kind: format!("/api/v1/problems/{key}"),
            title: title.to_owned(),
            status,
            detail: detail.into(),
            field: None,
            allowed: None,
            hint: None,
            line: None,
            column: None,
            retry_after_s: matches!(key, "busy" | "stopping").then_some(1),
            allow: None,
        }
    }

    /// The same with the key it is about, unless one is named already.
    #[must_use]
    pub fn with_field(mut self, field: impl Into<String>) -> Self {
        self.field.get_or_insert_with(|| field.into());
        self
    }

    /// The same with what is allowed.
    #[must_use]
    pub fn with_allowed(mut self, allowed: impl Into<String>) -> Self {
        self.allowed.get_or_insert_with(|| allowed.into());
        self
    }

    /// The same with what to try.
    #[must_use]
    pub fn with_hint(mut self, hint: impl Into<String>) -> Self {
        self.hint.get_or_insert_with(|| hint.into());
        self
    }
}

impl From<Error> for Problem {
    fn from(error: Error) -> Self {
        let (kind, allowed) = match error.kind() {
            ErrorKind::OutOfRange { allowed, .. } => ("out-of-range", Some(allowed.clone())),
            ErrorKind::Malformed { expected, .. } => ("malformed", Some(expected.clone())),
            ErrorKind::Inconsistent { .. } => ("inconsistent", None),
            ErrorKind::NotConverged { .. } => ("not-converged", None),
            ErrorKind::Io { .. } => ("files", None),
        };
        let place = error.place();
        Self {
            field: place.and_then(|place| place.field.clone()),
            line: place.map(|place| place.line),
            column: place.and_then(|place| place.column),
            allowed,
            hint: error.hint().map(str::to_owned),
            ..Self::new(kind, error.sentence())
        }
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let status = StatusCode::from_u16(self.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        let media_type = HeaderValue::from_static(Self::MEDIA_TYPE);
        let mut response =
            (status, [(header::CONTENT_TYPE, media_type)], to_json(&self)).into_response();
        let mut set = |name: HeaderName, text: &str| {
            if let Ok(value) = HeaderValue::from_str(text) {
                response.headers_mut().insert(name, value);
            }
        };
        if let Some(after_s) = self.retry_after_s {
            set(header::RETRY_AFTER, &after_s.to_string());
        }
        if let Some(allow) = &self.allow {
            set(header::ALLOW, allow);
        }
        if self.status == 401 {
            set(header::WWW_AUTHENTICATE, "Bearer");
        }
        response
    }
}
