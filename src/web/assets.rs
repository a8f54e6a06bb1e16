use axum::http::header;
use axum::response::{IntoResponse, Response};

/// A file of the page, part of the program.
#[derive(Clone, Copy, Debug)]
pub(super) struct Asset {
    pub(super) path: &'static str,
    media_type: &'static str,
    bytes: &'static [u8],
}

const HTML: &str = "text/html; charset=utf-8";
const CSS: &str = "text/css; charset=utf-8";
const SCRIPT: &str = "text/javascript; charset=utf-8";

/// A row of the table: its address and the file behind it.
macro_rules! asset {
    ($path:literal, $file:literal, $media_type:expr) => {
        Asset {
            path: $path,
            media_type: $media_type,
            bytes: include_bytes!(concat!("page/", $file)),
        }
    };
}

/// Every file of the page; nothing else is served beside the API.
pub(super) const ALL: [Asset; 18] = [
    asset!("/", "index.html", HTML),
    asset!("/page.css", "page.css", CSS),
    asset!("/page.js", "page.js", SCRIPT),
    asset!("/api.js", "api.js", SCRIPT),
    asset!("/address.js", "address.js", SCRIPT),
    asset!("/described.js", "described.js", SCRIPT),
    asset!("/dom.js", "dom.js", SCRIPT),
    asset!("/draw.js", "draw.js", SCRIPT),
    asset!("/bench.js", "bench.js", SCRIPT),
    asset!("/meters.js", "meters.js", SCRIPT),
    asset!("/circuit.js", "circuit.js", SCRIPT),
    asset!("/capture.js", "capture.js", SCRIPT),
    asset!("/pair.js", "pair.js", SCRIPT),
    asset!("/worksheet.js", "worksheet.js", SCRIPT),
    asset!("/entries.js", "entries.js", SCRIPT),
    asset!("/queue.js", "queue.js", SCRIPT),
    asset!("/waits.js", "waits.js", SCRIPT),
    asset!("/mark.svg", "mark.svg", "image/svg+xml"),
];

impl Asset {
    pub(super) fn answer(self) -> Response {
        ([(header::CONTENT_TYPE, self.media_type)], self.bytes).into_response()
    }
}
