use std::sync::Arc;

use axum::extract::Request;
use serde::Deserialize;

use crate::description::{Description, read_meter};
use crate::meter::Meter;

use super::body;
use super::problem::Problem;
use super::shared::Shared;

/// What a body says: a description, a meter's data sheet, both or neither.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Sent {
    /// Text of a description; the server's own when left out.
    #[serde(default)]
    description: Option<String>,
    /// Text with one `[[meter]]`.
    #[serde(default)]
    sheet: Option<String>,
}

impl Sent {
    /// Media types of a description alone.
    pub(super) const DESCRIPTION: [&'static str; 2] = ["application/toml", "text/plain"];
    /// Media types of a description, or of a description and a sheet.
    pub(super) const SHEET: [&'static str; 3] =
        ["application/toml", "text/plain", "application/json"];

    /// Reads a body of one of these kinds.
    pub(super) async fn read(
        shared: &Shared,
        request: Request,
        kinds: &[&'static str],
    ) -> Result<Self, Problem> {
        let kind = body::check_kind(request.headers(), kinds)?;
        let bytes = body::read(request, shared.limits.body_bytes, shared).await?;
        if kind == "application/json" {
            return serde_json::from_slice(&bytes).map_err(|error| Problem {
                line: Some(error.line()).filter(|line| *line > 0),
                column: Some(error.column()).filter(|column| *column > 0),
                ..Problem::new("malformed", format!("the body: {error}")).with_allowed(
                    "an object with the texts \"description\" and \"sheet\", either or both",
                )
            });
        }
        let text = String::from_utf8(bytes).map_err(|error| {
            let at = error.utf8_error().valid_up_to();
            Problem::new("malformed", format!("the body is not UTF-8 from byte {at} on"))
                .with_allowed("text in UTF-8")
        })?;
        let is_empty = text.trim().is_empty();
        Ok(Self { description: (!is_empty).then_some(text), sheet: None })
    }

    /// Whether the server's own description is meant.
    pub(super) fn is_own(&self) -> bool {
        self.description.is_none()
    }

    /// The description; one that was sent opens no file.
    pub(super) fn description(&self, shared: &Shared) -> Result<Arc<Description>, Problem> {
        match &self.description {
            Some(text) => Ok(Arc::new(Description::parse_alone(text)?)),
            None => Ok(Arc::clone(&shared.description)),
        }
    }

    /// The meter of the sheet.
    pub(super) fn meter(&self, mains_hz: f64) -> Result<Option<Meter>, Problem> {
        let meter = self.sheet.as_deref().map(|sheet| read_meter(sheet, mains_hz)).transpose();
        meter.map_err(Problem::from)
    }
}
