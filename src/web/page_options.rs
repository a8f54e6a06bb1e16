use std::net::{IpAddr, Ipv4Addr};
use std::path::PathBuf;
use std::sync::Arc;

use crate::description::Description;

use super::Limits;

/// What a server serves, and where.
#[derive(Clone, Debug)]
pub struct PageOptions {
    /// The description it answers about.
    pub description: Arc<Description>,
    /// Whether that is the embedded example, whose meters are ideal: real kinds are then lent to it.
    pub is_example: bool,
    /// Address it listens on; any but a loopback address makes it ask for an access token.
    pub address: IpAddr,
    /// Port; 0 for any that is free.
    pub port: u16,
    /// Whether any free port will do when that one is taken.
    pub or_any_port: bool,
    /// The logbook visits are kept in; without one there are no visits.
    pub logbook: Option<PathBuf>,
    /// Certificate and key; without them nothing is encrypted.
    #[cfg(feature = "tls")]
    pub tls: Option<super::TlsFiles>,
    /// What clients may take.
    pub limits: Limits,
}

impl PageOptions {
    /// The port a page has unless told otherwise: always the same, for a browser keeps what waits there by the
    /// address it was entered at.
    pub const PORT: u16 = 8600;

    /// A server for this machine alone, on any free port.
    #[must_use]
    pub fn new(description: impl Into<Arc<Description>>) -> Self {
        Self {
            description: description.into(),
            is_example: false,
            address: IpAddr::V4(Ipv4Addr::LOCALHOST),
            port: 0,
            or_any_port: false,
            logbook: None,
            #[cfg(feature = "tls")]
            tls: None,
            limits: Limits::default(),
        }
    }
}
