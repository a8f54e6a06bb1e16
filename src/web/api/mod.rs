//! What the endpoints answer: each reads the request, calls the library and hands its document on.

mod about;
mod answers;
mod capture;
mod desks;
mod estimate;
mod figures;
mod fitness;
mod problems;
mod sent_again;
mod situation;
mod survey;
mod visit;

use super::endpoint::Endpoint;

/// Every endpoint, in the order of the document.
pub(super) fn endpoints() -> Vec<Endpoint> {
    [
        situation::endpoints(),
        figures::endpoints(),
        survey::endpoints(),
        fitness::endpoints(),
        desks::endpoints(),
        capture::endpoints(),
        estimate::endpoints(),
        visit::endpoints(),
        about::endpoints(),
        problems::endpoints(),
    ]
    .concat()
}
