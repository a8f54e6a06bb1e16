use std::collections::HashMap;
use std::sync::Mutex;

use axum::http::HeaderMap;
use tokio::sync::watch;

use super::problem::Problem;

/// The newest request of every client that numbers them.
#[derive(Debug, Default)]
pub(super) struct ClientQueue {
    newest: Mutex<HashMap<String, watch::Sender<u64>>>,
}

/// One request's place among those of its client.
#[derive(Debug)]
pub(super) struct Turn {
    own: u64,
    newest: watch::Receiver<u64>,
}

impl ClientQueue {
    /// Clients remembered; those with nothing under way are forgotten first.
    const CLIENTS: usize = 1024;
    /// Most characters of a client's name.
    const NAME_CHARACTERS: usize = 64;
    /// Header with the client's name for itself.
    pub(super) const CLIENT: &'static str = "loopcrest-client";
    /// Header with the number of the request, rising.
    pub(super) const SEQUENCE: &'static str = "loopcrest-sequence";

    /// The turn of a request; `None` when its client does not number them.
    pub(super) fn turn(&self, headers: &HeaderMap) -> Result<Option<Turn>, Problem> {
        let (client, own) = match (headers.get(Self::CLIENT), headers.get(Self::SEQUENCE)) {
            (None, None) => return Ok(None),
            (Some(client), Some(sequence)) => (client, sequence),
            _ => {
                return Err(Problem::new(
                    "bad-request",
                    "a client that numbers its requests sends both headers",
                )
                .with_field(Self::SEQUENCE));
            }
        };
        let is_name = |text: &&str| {
            (1..=Self::NAME_CHARACTERS).contains(&text.len())
                && text.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'-')
        };
        let client = client.to_str().ok().filter(is_name).ok_or_else(|| {
            Problem::new("bad-request", "the name of a client cannot be read")
                .with_field(Self::CLIENT)
                .with_allowed("1 to 64 letters, digits or hyphens")
        })?;
        let own = own.to_str().ok().and_then(|text| text.parse::<u64>().ok()).ok_or_else(|| {
            Problem::new("bad-request", "the number of a request cannot be read")
                .with_field(Self::SEQUENCE)
                .with_allowed("a whole number, rising")
        })?;
        let mut clients = self.newest.lock().expect("nothing panics while it is held");
        if clients.len() >= Self::CLIENTS && !clients.contains_key(client) {
            clients.retain(|_, newest| newest.receiver_count() > 0);
            if clients.len() >= Self::CLIENTS {
                return Ok(None);
            }
        }
        let newest = clients.entry(client.to_owned()).or_insert_with(|| watch::channel(own).0);
        if own < *newest.borrow() {
            return Err(Turn::overtaken());
        }
        newest.send_if_modified(|newest| std::mem::replace(newest, own) != own);
        Ok(Some(Turn { own, newest: newest.subscribe() }))
    }
}

impl Turn {
    /// Waits until a newer request has come.
    pub(super) async fn overtaken_later(&mut self) {
        let own = self.own;
        if self.newest.wait_for(|newest| *newest > own).await.is_err() {
            std::future::pending::<()>().await;
        }
    }

    /// What the older one is answered.
    pub(super) fn overtaken() -> Problem {
        Problem::new("overtaken", "a newer request of this client came first")
    }
}
