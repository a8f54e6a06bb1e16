use axum::http::header;
use axum::response::{IntoResponse, Response};

/// A file of the page, part of the program.
#[derive(Clone, Copy, Debug)]
pub(super) struct Asset {
    pub(super) path: &'static str,
    media_type: &'static str,
    bytes: &'static [u8],
}

/// Every file of the page; nothing else is served beside the API.
pub(super) const ALL: [Asset; 4] = [
    Asset {
        path: "/",
        media_type: "text/html; charset=utf-8",
        bytes: include_bytes!("page/index.html"),
    },
    Asset {
        path: "/page.css",
        media_type: "text/css; charset=utf-8",
        bytes: include_bytes!("page/page.css"),
    },
    Asset {
        path: "/page.js",
        media_type: "text/javascript; charset=utf-8",
        bytes: include_bytes!("page/page.js"),
    },
    Asset {
        path: "/mark.svg",
        media_type: "image/svg+xml",
        bytes: include_bytes!("page/mark.svg"),
    },
];

impl Asset {
    pub(super) fn answer(self) -> Response {
        ([(header::CONTENT_TYPE, self.media_type)], self.bytes).into_response()
    }
}
