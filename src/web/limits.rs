use std::time::Duration;

/// What clients may take together and each.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Connections open at once; more are answered with 503.
    pub connections: usize,
    /// Bytes of a request's head.
    pub head_bytes: usize,
    /// Header fields of a request.
    pub header_fields: usize,
    /// Time for a whole head to come in, also of an idle connection.
    pub head_time: Duration,
    /// Bytes of a body other than a capture.
    pub body_bytes: usize,
    /// Bodies that come in at once; more wait.
    pub bodies: usize,
    /// Bytes of a capture.
    pub capture_bytes: usize,
    /// Time for a whole body to come in.
    pub body_time: Duration,
    /// Time in which a client must take something of an answer.
    pub write_time: Duration,
    /// Time for an answer to be computed.
    pub answer_time: Duration,
    /// Answers computed at once.
    pub workers: usize,
    /// Requests that wait for a worker; more are answered with 503.
    pub queue: usize,
    /// Captures held in memory at once.
    pub captures: usize,
    /// Estimates kept, running or done.
    pub estimates: usize,
    /// Circuits of an estimate, of either kind.
    pub circuits: u64,
    /// Time for what runs to end once the server is asked to stop.
    pub stop_time: Duration,
}

impl Limits {
    /// The same with captures of at most so many megabytes.
    #[must_use]
    pub fn with_capture_megabytes(mut self, megabytes: u16) -> Self {
        self.capture_bytes = usize::from(megabytes) << 20;
        self
    }
}

impl Default for Limits {
    fn default() -> Self {
        let workers = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
        Self {
            connections: 512,
            head_bytes: 16 << 10,
            header_fields: 64,
            head_time: Duration::from_secs(10),
            body_bytes: 1 << 20,
            bodies: 32,
            capture_bytes: 64 << 20,
            body_time: Duration::from_secs(30),
            write_time: Duration::from_secs(30),
            answer_time: Duration::from_secs(60),
            workers,
            queue: 128,
            captures: 2,
            estimates: 16,
            circuits: 20_000,
            stop_time: Duration::from_secs(5),
        }
    }
}
