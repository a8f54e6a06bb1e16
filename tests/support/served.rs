//! The page's server as a process of its own, and requests to it; nothing leaves 127.0.0.1.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::time::Duration;

/// A server that ends with the test.
pub(crate) struct Served {
    child: Child,
    pub(crate) url: String,
    pub(crate) port: u16,
}

/// What was answered.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) status: u16,
    pub(crate) headers: Vec<(String, String)>,
    pub(crate) body: Vec<u8>,
}

impl Answer {
    #[track_caller]
    pub(crate) fn json(&self) -> serde_json::Value {
        serde_json::from_slice(&self.body)
            .unwrap_or_else(|error| panic!("{error}: {}", String::from_utf8_lossy(&self.body)))
    }

    pub(crate) fn header(&self, name: &str) -> Option<&str> {
        self.headers.iter().find(|(key, _)| key == name).map(|(_, value)| value.as_str())
    }
}

pub(crate) fn agent() -> ureq::Agent {
    ureq::Agent::config_builder()
        .http_status_as_error(false)
        .max_redirects(0)
        .timeout_global(Some(Duration::from_secs(120)))
        .build()
        .into()
}

pub(crate) fn answer(response: ureq::http::Response<ureq::Body>) -> Answer {
    let status = response.status().as_u16();
    let text = |value: &ureq::http::HeaderValue| String::from_utf8_lossy(value.as_bytes()).into();
    let headers =
        response.headers().iter().map(|(name, value)| (name.to_string(), text(value))).collect();
    let mut body = Vec::new();
    response.into_body().into_reader().read_to_end(&mut body).unwrap();
    Answer { status, headers, body }
}

/// A query with its values made safe.
pub(crate) fn query(pairs: &[(&str, &str)]) -> String {
    let safe = |text: &str| {
        text.bytes()
            .map(|byte| match byte {
                b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' => {
                    char::from(byte).to_string()
                }
                other => format!("%{other:02X}"),
            })
            .collect::<String>()
    };
    let pairs: Vec<String> =
        pairs.iter().map(|(key, value)| format!("{key}={}", safe(value))).collect();
    pairs.join("&")
}

impl Served {
    /// Runs `loopcrest page` with these arguments, on any free port, and waits for its address.
    pub(crate) fn start(arguments: &[&str]) -> Self {
        Self::start_as(&[arguments, &["--port", "0"]].concat())
    }

    /// The same on that port, as after an end and a new beginning.
    pub(crate) fn start_at(port: u16, arguments: &[&str]) -> Self {
        Self::start_as(&[arguments, &["--port", &port.to_string()]].concat())
    }

    /// The same with these arguments and no other.
    pub(crate) fn start_as(arguments: &[&str]) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_loopcrest"))
            .args(["page", "--no-browser"])
            .args(arguments)
            .env("NO_COLOR", "1")
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap());
        let mut url = String::new();
        lines.read_line(&mut url).unwrap();
        let url = url.trim().to_owned();
        assert!(url.starts_with("http://"), "no address: {url:?}");
        let after = url.split("://").nth(1).unwrap();
        let authority = after.split('/').next().unwrap();
        let port = authority.rsplit(':').next().unwrap().parse().unwrap();
        // Its further lines are read away, so that it never waits for a reader.
        std::thread::spawn(move || std::io::copy(&mut lines, &mut std::io::sink()));
        Self { child, url, port }
    }

    pub(crate) fn address(&self) -> SocketAddr {
        SocketAddr::from(([127, 0, 0, 1], self.port))
    }

    pub(crate) fn at(&self, path: &str) -> String {
        format!("http://127.0.0.1:{}{path}", self.port)
    }

    #[track_caller]
    pub(crate) fn get(&self, path: &str) -> Answer {
        answer(agent().get(self.at(path)).call().unwrap())
    }

    #[track_caller]
    pub(crate) fn post(&self, path: &str, kind: &str, body: &[u8]) -> Answer {
        answer(agent().post(self.at(path)).content_type(kind).send(body).unwrap())
    }

    /// Sends these bytes as they are and reads what comes back until the server closes.
    pub(crate) fn raw(&self, bytes: &[u8]) -> String {
        raw(self.address(), bytes)
    }

    /// Ends it at once.
    pub(crate) fn end(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }

    pub(crate) fn pid(&self) -> u32 {
        self.child.id()
    }

    /// A line of its entry in /proc, in kB.
    pub(crate) fn memory_kb(&self, key: &str) -> Option<u64> {
        let text = std::fs::read_to_string(format!("/proc/{}/status", self.pid())).ok()?;
        let line = text.lines().find(|line| line.starts_with(key))?;
        line.split_whitespace().nth(1)?.parse().ok()
    }

    pub(crate) fn signal(&self, name: &str) {
        let pid = self.pid().to_string();
        assert!(Command::new("kill").args(["-s", name, &pid]).status().unwrap().success());
    }

    pub(crate) fn is_running(&mut self) -> bool {
        self.child.try_wait().unwrap().is_none()
    }

    /// Waits for it to end; what it said on standard error.
    pub(crate) fn ended(mut self) -> (ExitStatus, String) {
        let status = self.child.wait().unwrap();
        let mut said = String::new();
        self.child.stderr.take().unwrap().read_to_string(&mut said).unwrap();
        (status, said)
    }
}

/// What comes back for these bytes until the server closes.
pub(crate) fn raw(address: SocketAddr, bytes: &[u8]) -> String {
    sent(address, bytes, false)
}

/// The same for a client that says at once that nothing more will come.
pub(crate) fn raw_and_done(address: SocketAddr, bytes: &[u8]) -> String {
    sent(address, bytes, true)
}

fn sent(address: SocketAddr, bytes: &[u8], is_done: bool) -> String {
    let mut stream = TcpStream::connect(address).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
    stream.set_write_timeout(Some(Duration::from_secs(60))).unwrap();
    // A server that has seen enough may close before all is sent.
    let _ = stream.write_all(bytes);
    if is_done {
        let _ = stream.shutdown(std::net::Shutdown::Write);
    }
    let mut answer = Vec::new();
    let _ = stream.read_to_end(&mut answer);
    String::from_utf8_lossy(&answer).into_owned()
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
