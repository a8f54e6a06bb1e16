use std::io::ErrorKind;
use std::net::{SocketAddr, TcpListener};
use std::pin::Pin;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::Receiver;
use std::time::Duration;

use hyper_util::server::graceful::GracefulShutdown;
use tokio::sync::{Semaphore, watch};

use crate::error::{Error, Result};
use crate::logbook::Logbook;

use super::access_token::AccessToken;
use super::connection;
use super::guard::Guard;
use super::router::router;
use super::shared::Shared;
use super::{Limits, PageOptions};

/// A server bound to its address, not yet answering.
pub struct Server {
    listener: TcpListener,
    address: SocketAddr,
    token: Option<AccessToken>,
    #[cfg(feature = "tls")]
    acceptor: Option<tokio_rustls::TlsAcceptor>,
    options: PageOptions,
}

// Keys and tokens are in no message, not even in one for looking for faults.
impl std::fmt::Debug for Server {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Server").field("address", &self.address).finish_non_exhaustive()
    }
}

impl Server {
    /// Connections told at once that all places are taken; more are closed without a word.
    const TURNED_AWAY: usize = 64;

    /// Binds the address. Beyond the loopback a new access token is made.
    ///
    /// # Errors
    /// `Io` when the logbook cannot be opened or begun, the port is taken or the address is not this machine's.
    pub fn bind(options: PageOptions) -> Result<Self> {
        if let Some(file) = &options.logbook {
            // What is wrong with it is said now and not to the first who enters something.
            Logbook::open_or_create(file)?;
        }
        let wanted = SocketAddr::new(options.address, options.port);
        let failed = |source: std::io::Error| {
            let hint = match source.kind() {
                ErrorKind::AddrInUse => {
                    "another page may run there: end it, or give another --port"
                }
                ErrorKind::AddrNotAvailable => "--listen takes an address of this machine",
                _ => "a port above 1023 needs no privilege",
            };
            Error::io(wanted.to_string(), source).with_context("cannot listen").with_hint(hint)
        };
        let listener = match TcpListener::bind(wanted) {
            Err(error) if options.or_any_port && error.kind() == ErrorKind::AddrInUse => {
                TcpListener::bind(SocketAddr::new(options.address, 0))
            }
            bound => bound,
        };
        let listener = listener.map_err(failed)?;
        listener.set_nonblocking(true).map_err(failed)?;
        let address = listener.local_addr().map_err(failed)?;
        let is_open = !options.address.is_loopback();
        let token = is_open.then(AccessToken::random).transpose()?;
        Ok(Self {
            listener,
            address,
            token,
            #[cfg(feature = "tls")]
            acceptor: options.tls.as_ref().map(super::TlsFiles::acceptor).transpose()?,
            options,
        })
    }

    /// The address to open in a browser; with the access token when there is one.
    #[must_use]
    pub fn url(&self) -> String {
        let base = format!("{}://{}/", self.scheme(), self.address);
        match &self.token {
            Some(token) => format!("{base}?token={}", token.text()),
            None => base,
        }
    }

    /// The port it answers at.
    #[must_use]
    pub fn port(&self) -> u16 {
        self.address.port()
    }

    fn scheme(&self) -> &'static str {
        #[cfg(feature = "tls")]
        if self.acceptor.is_some() {
            return "https";
        }
        "http"
    }

    /// Serves until the process is asked to end (Ctrl-C or SIGTERM), finishes what runs within the limit, and
    /// returns. `started` is called once requests are answered.
    ///
    /// # Errors
    /// `Io` when the system refuses threads or signals; whatever `started` says.
    pub fn serve(self, started: impl FnOnce(&str) -> Result<()>) -> Result<()> {
        self.run(started, None)
    }

    /// The same until something comes through the channel, or its other end is gone; signals are left alone.
    ///
    /// # Errors
    /// As [`Self::serve`].
    pub fn serve_until(
        self,
        started: impl FnOnce(&str) -> Result<()>,
        ended: Receiver<()>,
    ) -> Result<()> {
        self.run(started, Some(ended))
    }

    fn run(
        self,
        started: impl FnOnce(&str) -> Result<()>,
        ended: Option<Receiver<()>>,
    ) -> Result<()> {
        let failed = |source| Error::io("the server", source);
        let limits = self.options.limits.clone();
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(2)
            .max_blocking_threads(limits.workers.saturating_add(limits.estimates).saturating_add(4))
            .thread_name("loopcrest-page")
            .enable_all()
            .build()
            .map_err(failed)?;
        let ended = runtime.block_on(self.answer(started, ended));
        runtime.shutdown_timeout(limits.stop_time);
        ended
    }

    async fn answer(
        self,
        started: impl FnOnce(&str) -> Result<()>,
        ended: Option<Receiver<()>>,
    ) -> Result<()> {
        let failed = |source| Error::io("the server", source);
        let url = self.url();
        let guard = Guard::new(self.address, self.scheme(), self.token);
        let (stop, stopping) = watch::channel(false);
        let shared = Arc::new(Shared::new(&self.options, guard, stopping));
        let limits = Arc::new(self.options.limits);
        let router = router(&shared);
        let listener = tokio::net::TcpListener::from_std(self.listener).map_err(failed)?;
        let mut asked_to_end: Pin<Box<dyn Future<Output = ()>>> = match ended {
            None => Box::pin(asked_to_end().map_err(failed)?),
            Some(ended) => {
                let waiting = tokio::task::spawn_blocking(move || ended.recv());
                Box::pin(async {
                    let _ = waiting.await;
                })
            }
        };
        started(&url)?;

        let graceful = GracefulShutdown::new();
        let places = Arc::new(Semaphore::new(limits.connections));
        let turned_away = Arc::new(AtomicUsize::new(0));
        loop {
            let accepted = tokio::select! {
                () = &mut asked_to_end => break,
                accepted = listener.accept() => accepted,
            };
            let Ok((stream, _)) = accepted else {
                // Out of files, as a rule: that passes when connections end.
                tokio::time::sleep(Duration::from_millis(50)).await;
                continue;
            };
            let _ = stream.set_nodelay(true);
            let Ok(place) = Arc::clone(&places).try_acquire_owned() else {
                if turned_away.fetch_add(1, Ordering::SeqCst) < Self::TURNED_AWAY {
                    tokio::spawn(connection::turn_away(stream, Arc::clone(&turned_away)));
                } else {
                    turned_away.fetch_sub(1, Ordering::SeqCst);
                }
                continue;
            };
            let (router, limits) = (router.clone(), Arc::clone(&limits));
            #[cfg(feature = "tls")]
            if let Some(acceptor) = self.acceptor.clone() {
                let watcher = graceful.watcher();
                tokio::spawn(async move {
                    let greeted = tokio::time::timeout(limits.head_time, acceptor.accept(stream));
                    if let Ok(Ok(stream)) = greeted.await {
                        connection::serve(stream, router, limits, watcher, place).await;
                    }
                });
                continue;
            }
            tokio::spawn(connection::serve(stream, router, limits, graceful.watcher(), place));
        }
        drop(listener);
        stop.send_replace(true);
        let Limits { stop_time, .. } = *limits;
        let _ = tokio::time::timeout(stop_time, graceful.shutdown()).await;
        Ok(())
    }
}

/// Ends when the process is asked to; listens from the moment it is made.
fn asked_to_end() -> std::io::Result<impl Future<Output = ()>> {
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        let mut interrupt = signal(SignalKind::interrupt())?;
        let mut terminate = signal(SignalKind::terminate())?;
        Ok(async move {
            tokio::select! {
                _ = interrupt.recv() => {}
                _ = terminate.recv() => {}
            }
        })
    }
    #[cfg(not(unix))]
    {
        Ok(async {
            let _ = tokio::signal::ctrl_c().await;
        })
    }
}
