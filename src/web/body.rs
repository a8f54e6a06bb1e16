use axum::body::Body;
use axum::extract::Request;
use axum::http::{HeaderMap, header};
use http_body_util::BodyExt;

use super::desk::Desk;
use super::problem::Problem;
use super::shared::Shared;

/// A body that came in whole, in time, and no larger than allowed. Only so many come in at once.
pub(super) async fn read(
    request: Request,
    most_bytes: usize,
    shared: &Shared,
) -> Result<Vec<u8>, Problem> {
    let limits = &shared.limits;
    let announced = request.headers().get(header::CONTENT_LENGTH);
    let announced = announced.and_then(|value| value.to_str().ok()?.parse::<usize>().ok());
    // Nobody waits for what is refused anyhow; a little too much is read past, so that the client hears why.
    if announced.is_some_and(|bytes| bytes > most_bytes.saturating_mul(2)) {
        return Err(too_large(most_bytes));
    }
    let place = tokio::time::timeout(limits.body_time, shared.bodies.acquire());
    let Ok(Ok(_place)) = place.await else { return Err(Desk::busy()) };
    let whole = tokio::time::timeout(limits.body_time, collected(request.into_body(), most_bytes));
    whole.await.unwrap_or_else(|_| {
        let most_s = limits.body_time.as_secs();
        Err(Problem::new("too-slow", format!("the body did not come within {most_s} s")))
    })
}

fn too_large(most_bytes: usize) -> Problem {
    Problem::new("too-large", "the body is larger than the server takes")
        .with_allowed(format!("{most_bytes} bytes or less"))
}

/// Reads on past the limit without keeping anything, so that the client hears why, up to a second limit.
async fn collected(mut body: Body, most_bytes: usize) -> Result<Vec<u8>, Problem> {
    let mut bytes = Vec::new();
    let mut is_too_large = false;
    let mut let_go = most_bytes;
    while let Some(frame) = body.frame().await {
        let frame = frame.map_err(|_| Problem::new("bad-request", "the body broke off"))?;
        let Ok(data) = frame.into_data() else { continue };
        if is_too_large || bytes.len().saturating_add(data.len()) > most_bytes {
            is_too_large = true;
            bytes = Vec::new();
            let_go = let_go.saturating_sub(data.len());
            if let_go == 0 {
                break;
            }
            continue;
        }
        bytes.extend_from_slice(&data);
    }
    if is_too_large { Err(too_large(most_bytes)) } else { Ok(bytes) }
}

/// The media type of a body without its parameters, in small letters; `None` when none is named.
pub(super) fn media_type(headers: &HeaderMap) -> Option<String> {
    let named = headers.get(header::CONTENT_TYPE)?;
    let text = named.to_str().unwrap_or_default();
    Some(text.split(';').next().unwrap_or_default().trim().to_ascii_lowercase())
}

/// Refuses a body of another kind; one without a kind is taken as the first.
pub(super) fn check_kind(
    headers: &HeaderMap,
    allowed: &[&'static str],
) -> Result<&'static str, Problem> {
    let first = allowed.first().copied().unwrap_or_default();
    let Some(found) = media_type(headers) else { return Ok(first) };
    allowed.iter().copied().find(|kind| *kind == found).ok_or_else(|| {
        Problem::new("media-type", format!("a body of \"{found}\" is not read here"))
            .with_field("Content-Type")
            .with_allowed(allowed.join(", "))
    })
}
