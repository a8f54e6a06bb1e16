use axum::http::header;
use axum::response::{IntoResponse, Response};

use crate::report::{Document, to_json};

/// Media type of JSON.
pub(super) const JSON: &str = "application/json";
/// Media type of a description.
pub(super) const TOML: &str = "application/toml";
/// Media type of a table.
pub(super) const CSV: &str = "text/csv; charset=utf-8";
/// Media type of a drawing.
pub(super) const SVG: &str = "image/svg+xml";
/// Media type of the same drawing in pixels.
pub(super) const PNG: &str = "image/png";

/// The same text `--json` prints.
pub(super) fn json_text(document: &Document) -> String {
    to_json(document)
}

/// Bytes of a kind.
pub(super) fn of_kind(media_type: &'static str, bytes: impl Into<Vec<u8>>) -> Response {
    ([(header::CONTENT_TYPE, media_type)], bytes.into()).into_response()
}
