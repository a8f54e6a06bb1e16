//! The local page: an HTTP server for one machine, thin as the command line is.
//!
//! Knows: addresses, requests and answers, how much of each is let in. Refuses to know: arithmetic, and any path a
//! client sends: bytes come in a body, files are only those named when the server was started.
//!
//! Conventions: everything for programs stands below `/api/v1` and answers with the documents that `--json`
//! prints; an error is a problem document after RFC 9457. One table of endpoints makes both the router and the
//! OpenAPI document. The server listens on the loopback unless told otherwise, and then only with an access token;
//! it answers only to its own names (`Host`) and only to its own pages (`Origin`, `Sec-Fetch-Site`). Whatever a
//! client may take is bounded: bytes, time, connections, places in the queue. A client that is ahead of itself
//! sends `Loopcrest-Client` and `Loopcrest-Sequence`: what still waits is given up when something newer comes.

#![expect(
    clippy::result_large_err,
    reason = "a problem is made once for a request and written out at once"
)]

mod access_token;
mod api;
mod assets;
mod body;
mod choices;
mod client_queue;
mod connection;
mod desk;
mod endpoint;
mod estimates;
mod guard;
mod headers;
mod limits;
mod open_api;
mod page_options;
mod problem;
mod query;
mod router;
mod sent;
mod server;
mod shared;
#[cfg(feature = "tls")]
mod tls_files;
mod visits;

pub use endpoint::endpoints;
pub use limits::Limits;
pub use page_options::PageOptions;
pub use problem::Problem;
pub use server::Server;
#[cfg(feature = "tls")]
pub use tls_files::TlsFiles;
