use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use axum::Router;
use axum::body::Body;
use axum::extract::Request;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::Watcher;
use hyper_util::service::TowerToHyperService;
use tokio::io::{AsyncRead, AsyncReadExt, AsyncWrite, AsyncWriteExt};
use tokio::sync::OwnedSemaphorePermit;
use tokio_io_timeout::TimeoutStream;
use tower::ServiceExt;

use super::Limits;

/// Serves one connection until it ends, is too slow, or the server stops.
pub(super) async fn serve<S>(
    stream: S,
    router: Router,
    limits: Arc<Limits>,
    watcher: Watcher,
    _place: OwnedSemaphorePermit,
) where
    S: AsyncRead + AsyncWrite + Send + 'static,
{
    let mut stream = TimeoutStream::new(stream);
    // A client that takes nothing of its answer; one that sends nothing meets the limits on heads and bodies.
    stream.set_write_timeout(Some(limits.write_time));
    let service = router.map_request(|request: Request<Incoming>| request.map(Body::new));
    let connection = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(limits.head_time)
        .max_buf_size(limits.head_bytes)
        .max_headers(limits.header_fields)
        .serve_connection(TokioIo::new(Box::pin(stream)), TowerToHyperService::new(service));
    // What goes wrong with one connection is that client's own affair.
    let _ = watcher.watch(connection).await;
}

/// Answers that every connection is taken, without reading a request.
pub(super) async fn turn_away<S>(mut stream: S, turned_away: Arc<AtomicUsize>)
where
    S: AsyncRead + AsyncWrite + Unpin,
{
    const ANSWER: &str = concat!(
        "HTTP/1.1 503 Service Unavailable\r\ncontent-type: application/problem+json\r\n",
        "retry-after: 1\r\ncache-control: no-store\r\ncontent-length: 133\r\nconnection: close\r\n\r\n",
        r#"{"type":"/api/v1/problems/busy","title":"busy","status":503,"#,
        r#""detail":"every connection is taken","hint":"try again in a few seconds"}"#,
    );
    const LINGER: Duration = Duration::from_millis(500);
    let answer = async {
        stream.write_all(ANSWER.as_bytes()).await?;
        stream.shutdown().await?;
        // What was sent is taken off the line first: a close with bytes unread would take the answer with it.
        let mut unread = [0_u8; 4096];
        while stream.read(&mut unread).await? > 0 {}
        Ok::<(), std::io::Error>(())
    };
    let _ = tokio::time::timeout(LINGER, answer).await;
    turned_away.fetch_sub(1, Ordering::SeqCst);
}
