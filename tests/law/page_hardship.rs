//! The page's server under hardship: malformed requests, slow clients, a thousand at once, being told to stop.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;
use std::time::{Duration, Instant};

use loopcrest::description::Description;
use loopcrest::web::{Limits, PageOptions, Server};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::support::served::{Served, query, raw, raw_and_done};

fn status_of(answer: &str) -> Option<u16> {
    answer.strip_prefix("HTTP/1.1 ")?.split(' ').next()?.parse().ok()
}

/// One request that is wrong somewhere: seeded, so the same on every run.
fn malformed(random: &mut ChaCha8Rng, port: u16) -> Vec<u8> {
    const METHODS: [&str; 8] = ["GET", "POST", "DELETE", "PUT", "get", "G\u{e9}T", "", "CONNECT"];
    const PATHS: [&str; 16] = [
        "/api/v1/situation?step=%ff",
        "/api/v1/situation?step=1&load=%00",
        "/api/v1/situation?meter=%F0%28%8C",
        "/api/v1/survey",
        "/api/v1/fitness?shown=1e999",
        "/api/v1/captures?from=-1e308&to=nan",
        "//",
        "*",
        "/api/v1/estimates/18446744073709551616",
        "/api/v1/estimates/-1/events",
        "http://[::1",
        "/%2e%2e/%2e%2e/etc/passwd",
        "/api/v1/situation?=&=&=",
        "\\",
        "/api/v1/captures?sample-rate=0&section=99999999999999999999",
        "/?token=",
    ];
    const HEADERS: [&str; 14] = [
        "content-length: -1",
        "content-length: 99999999999999999999",
        "content-length: 5\r\ncontent-length: 6",
        "transfer-encoding: chunked",
        "transfer-encoding: chunked, gzip",
        "transfer-encoding: chunked\r\ncontent-length: 3",
        "host: elsewhere",
        "expect: 100-continue",
        "loopcrest-client: \u{1}",
        "loopcrest-client: a\r\nloopcrest-sequence: 1e9",
        "content-type: ;;;",
        "cookie: =;=;",
        "upgrade: h2c",
        ": no name",
    ];
    let pick =
        |random: &mut ChaCha8Rng, of: &[&str]| of[random.random_range(0..of.len())].to_owned();
    let mut bytes = Vec::new();
    if random.random_bool(0.9) {
        let version =
            pick(random, &["HTTP/1.1", "HTTP/1.0", "HTTP/9.9", "HTTP/1.1 ", "http/1.1", ""]);
        let (method, path) = (pick(random, &METHODS), pick(random, &PATHS));
        bytes.extend(format!("{method} {path} {version}\r\n").into_bytes());
        if random.random_bool(0.8) {
            bytes.extend(format!("host: 127.0.0.1:{port}\r\n").into_bytes());
        }
        for _ in 0..random.random_range(0..4) {
            bytes.extend(pick(random, &HEADERS).into_bytes());
            bytes.extend(b"\r\n");
        }
        if random.random_bool(0.05) {
            bytes.extend(format!("x: {}\r\n", "y".repeat(40_000)).into_bytes());
        }
        if random.random_bool(0.05) {
            bytes.extend("a: b\r\n".repeat(200).into_bytes());
        }
        if random.random_bool(0.9) {
            bytes.extend(b"\r\n");
        }
        let body = random.random_range(0..60);
        bytes.extend(match random.random_range(0..3) {
            0 => b"5\r\nhello\r\n0\r\n\r\n".to_vec(),
            1 => b"fffffffffffffffff\r\n".to_vec(),
            _ => (0..body).map(|_| random.random::<u8>()).collect(),
        });
    } else {
        bytes.extend((0..random.random_range(0..400)).map(|_| random.random::<u8>()));
    }
    // Somewhere a byte is another.
    if random.random_bool(0.3) && !bytes.is_empty() {
        let at = random.random_range(0..bytes.len());
        bytes[at] = random.random();
    }
    bytes
}

/// 10,000 malformed requests: none is answered as a fault of the program, none stays unanswered for long, memory
/// stays what it was, and the server still answers rightly.
#[test]
fn law_page_outlives_malformed_requests() {
    const REQUESTS: usize = 10_000;
    const THREADS: usize = 8;
    let mut served = Served::start(&[]);
    let want = served.get("/api/v1/situation?step=2").json();
    let before_kb = served.memory_kb("VmRSS:");
    let (address, port) = (served.address(), served.port);
    let faults = Mutex::new(Vec::new());
    let answered = AtomicUsize::new(0);
    let slowest = Mutex::new(Duration::ZERO);
    std::thread::scope(|scope| {
        for thread in 0..THREADS {
            let (faults, answered, slowest) = (&faults, &answered, &slowest);
            scope.spawn(move || {
                let mut random = ChaCha8Rng::seed_from_u64(41);
                random.set_stream(thread as u64);
                for _ in 0..REQUESTS / THREADS {
                    let bytes = malformed(&mut random, port);
                    let began = Instant::now();
                    let answer = raw_and_done(address, &bytes);
                    let took = began.elapsed();
                    let mut slowest = slowest.lock().unwrap();
                    *slowest = took.max(*slowest);
                    drop(slowest);
                    if let Some(status) = status_of(&answer) {
                        answered.fetch_add(1, Ordering::SeqCst);
                        if matches!(status, 500..=502) {
                            faults
                                .lock()
                                .unwrap()
                                .push(String::from_utf8_lossy(&bytes).into_owned());
                        }
                    }
                }
            });
        }
    });
    assert_eq!(*faults.lock().unwrap(), Vec::<String>::new());
    let answered = answered.into_inner();
    assert!(answered > REQUESTS / 2, "{answered} answers");
    let slowest = slowest.into_inner().unwrap();
    assert!(slowest < Duration::from_secs(30), "{slowest:?}");
    assert!(served.is_running());
    assert_eq!(served.get("/api/v1/situation?step=2").json(), want);
    if let (Some(before_kb), Some(after_kb)) = (before_kb, served.memory_kb("VmRSS:")) {
        eprintln!(
            "{answered} answers to {REQUESTS}, slowest {slowest:?}, {before_kb} kB before, {after_kb} kB after"
        );
        assert!(after_kb < before_kb + 64_000, "{before_kb} kB before, {after_kb} kB after");
    }
}

/// A server in this process, with limits of the test's own.
fn with_limits(limits: Limits) -> (String, mpsc::Sender<()>, std::thread::JoinHandle<()>) {
    let mut options = PageOptions::new(Description::embedded());
    options.limits = limits;
    let server = Server::bind(options).unwrap();
    let (stop, stopped) = mpsc::channel();
    let (tell, told) = mpsc::channel();
    let running = std::thread::spawn(move || {
        server
            .serve_until(
                |url| {
                    tell.send(url.to_owned()).unwrap();
                    Ok(())
                },
                stopped,
            )
            .unwrap();
    });
    (told.recv().unwrap(), stop, running)
}

fn authority(url: &str) -> String {
    url.trim_start_matches("http://").trim_end_matches('/').to_owned()
}

/// Clients that send a byte at a time, or nothing, or take nothing, lose their place in time; what they cannot do
/// is keep others out for longer than that.
#[test]
fn law_page_slow_clients_lose_their_place() {
    let limits = Limits {
        connections: 40,
        head_time: Duration::from_secs(2),
        body_time: Duration::from_secs(2),
        ..Limits::default()
    };
    let (url, stop, running) = with_limits(limits);
    let host = authority(&url);
    let began = Instant::now();
    let mut slow: Vec<TcpStream> = Vec::new();
    for number in 0..40 {
        let mut stream = TcpStream::connect(&host).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
        let begun = match number % 4 {
            0 => String::new(),
            1 => format!("GET /api/v1/choices HTTP/1.1\r\nhost: {host}\r\nx-slow: "),
            2 => format!(
                "POST /api/v1/survey HTTP/1.1\r\nhost: {host}\r\ncontent-length: 500\r\n\r\nfor"
            ),
            // Answered, and then idle.
            _ => format!("GET /api/v1/choices HTTP/1.1\r\nhost: {host}\r\n\r\n"),
        };
        stream.write_all(begun.as_bytes()).unwrap();
        slow.push(stream);
    }
    // Every place is taken: the next one hears so at once.
    std::thread::sleep(Duration::from_millis(300));
    let ask = || {
        let text =
            format!("GET /api/v1/choices HTTP/1.1\r\nhost: {host}\r\nconnection: close\r\n\r\n");
        raw(host.parse().unwrap(), text.as_bytes())
    };
    let refused = ask();
    assert_eq!(status_of(&refused), Some(503), "{refused}");
    let (head, body) = refused.split_once("\r\n\r\n").unwrap();
    assert!(head.to_lowercase().contains("retry-after: "), "{head}");
    let problem: serde_json::Value = serde_json::from_str(body).unwrap();
    assert_eq!(problem["type"], "/api/v1/problems/busy");
    let mut answers = Vec::new();
    for (number, mut stream) in slow.into_iter().enumerate() {
        // One more byte now and then keeps nobody in.
        let _ = stream.write_all(b"a");
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        answers.push((number % 4, String::from_utf8_lossy(&answer).into_owned()));
    }
    let took = began.elapsed();
    assert!(took < Duration::from_secs(10), "{took:?}");
    for (kind, answer) in answers {
        match kind {
            2 => assert_eq!(status_of(&answer), Some(408), "{answer}"),
            3 => assert_eq!(status_of(&answer), Some(200), "{answer}"),
            _ => assert_ne!(status_of(&answer), Some(200), "{answer}"),
        }
    }
    assert_eq!(status_of(&ask()), Some(200));
    stop.send(()).unwrap();
    running.join().unwrap();
}

/// A thousand clients at once: each is answered, with the right numbers or with a time to come again.
#[test]
fn law_page_serves_a_thousand_at_once() {
    const CLIENTS: usize = 1000;
    let served = Served::start(&[]);
    let loads: Vec<String> = (0..10).map(|at| format!("{} %", 10 + 9 * at)).collect();
    let path = |at: usize| {
        let (step, load) = ((1 + at % 5).to_string(), &loads[at / 5 % 10]);
        format!(
            "/api/v1/situation?{}",
            query(&[("step", &step), ("load", load), ("meter", "average")])
        )
    };
    let want: Vec<_> = (0..50).map(|at| served.get(&path(at)).json()).collect();
    let before_kb = served.memory_kb("VmRSS:");
    let address = served.address();
    let port = served.port;
    let (busy, refused) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let began = Instant::now();
    std::thread::scope(|scope| {
        for client in 0..CLIENTS {
            let (want, busy, refused, path) = (&want, &busy, &refused, &path);
            std::thread::Builder::new()
                .stack_size(256 << 10)
                .spawn_scoped(scope, move || {
                    let text = format!(
                        "GET {} HTTP/1.1\r\nhost: 127.0.0.1:{port}\r\nconnection: close\r\n\r\n",
                        path(client % 50)
                    );
                    for attempt in 0.. {
                        assert!(attempt < 200, "client {client} was never answered");
                        let Ok(mut stream) = TcpStream::connect(address) else {
                            refused.fetch_add(1, Ordering::SeqCst);
                            std::thread::sleep(Duration::from_millis(300));
                            continue;
                        };
                        stream.set_read_timeout(Some(Duration::from_secs(120))).unwrap();
                        let mut answer = Vec::new();
                        let sent = stream.write_all(text.as_bytes());
                        let read = sent.and_then(|()| stream.read_to_end(&mut answer));
                        let answer = String::from_utf8_lossy(&answer).into_owned();
                        match (status_of(&answer), read) {
                            (Some(200), Ok(_)) => {
                                let (_, body) = answer.split_once("\r\n\r\n").unwrap();
                                let got: serde_json::Value = serde_json::from_str(body).unwrap();
                                assert!(got == want[client % 50], "client {client}: other numbers");
                                return;
                            }
                            (Some(503), _) => {
                                busy.fetch_add(1, Ordering::SeqCst);
                                assert!(
                                    answer.to_lowercase().contains("retry-after: "),
                                    "{answer}"
                                );
                            }
                            // Beyond what can be told so, a connection is closed.
                            (None, _) => {
                                refused.fetch_add(1, Ordering::SeqCst);
                            }
                            (Some(other), _) => panic!("{other}: {answer}"),
                        }
                        std::thread::sleep(Duration::from_millis(200 + (client % 100) as u64));
                    }
                })
                .unwrap();
        }
    });
    let took = began.elapsed();
    let most_kb = served.memory_kb("VmHWM:");
    eprintln!(
        "{CLIENTS} clients answered in {took:?}; {} times busy, {} times closed; memory {before_kb:?} kB before, {most_kb:?} kB at most",
        busy.into_inner(),
        refused.into_inner()
    );
    assert!(took < Duration::from_secs(120), "{took:?}");
    if let (Some(before_kb), Some(most_kb)) = (before_kb, most_kb) {
        assert!(most_kb < before_kb + 128_000, "{before_kb} kB before, {most_kb} kB at most");
    }
}

/// Ctrl-C and SIGTERM alike: what runs is finished, the code is 0, and the port is free again.
#[test]
fn law_page_stops_when_it_is_told_to() {
    for signal in ["INT", "TERM"] {
        let served = Served::start(&[]);
        let address = served.address();
        let url = served.at("/api/v1/survey");
        // A stream that would go on, and an idle connection: neither holds the server up.
        let begun =
            served.post("/api/v1/estimates?circuits=20000&pairs=0", "text/plain", b"").json();
        let events = served.at(begun["events"].as_str().unwrap());
        let following = std::thread::spawn(move || {
            let answer = crate::support::served::agent().get(&events).call().unwrap();
            answer.into_body().read_to_string()
        });
        let _idle = TcpStream::connect(address).unwrap();
        let asked = std::thread::spawn(move || {
            crate::support::served::answer(
                crate::support::served::agent().get(&url).call().unwrap(),
            )
        });
        std::thread::sleep(Duration::from_millis(150));
        let began = Instant::now();
        served.signal(signal);
        let (status, said) = served.ended();
        let took = began.elapsed();
        assert_eq!(status.code(), Some(0), "{signal}: {said}");
        assert!(took < Duration::from_secs(20), "{signal}: {took:?}");
        assert_eq!(said, "");
        let answer = asked.join().unwrap();
        assert_eq!(answer.status, 200, "a request that had come was finished");
        assert_eq!(answer.json()["kind"], "survey");
        let followed = following.join().unwrap().unwrap_or_default();
        assert!(!followed.contains("event: done"), "{followed}");
        assert!(TcpStream::connect(address).is_err(), "{signal}: the port is still taken");
    }
}

/// What is announced as far too large is refused when it is announced, not when it would have come.
#[test]
fn law_page_waits_for_no_body_it_would_refuse() {
    let served = Served::start(&[]);
    let began = Instant::now();
    let head = format!(
        "POST /api/v1/survey HTTP/1.1\r\nhost: 127.0.0.1:{}\r\ncontent-type: text/plain\r\n\
         content-length: 10737418240\r\nconnection: close\r\n\r\nx",
        served.port
    );
    let answered = served.raw(head.as_bytes());
    assert!(answered.starts_with("HTTP/1.1 413"), "{answered}");
    // A body that does not come is given up after longer than that.
    assert!(began.elapsed() < Limits::default().body_time, "{:?}", began.elapsed());
}

#[test]
fn law_a_temperature_no_meter_bears_is_a_slip() {
    let served = Served::start(&[]);
    for degc in ["-300", "1e9"] {
        let path = format!("/api/v1/fitness?meter=precision-true-rms-clamp&ambient={degc}");
        let refused = served.post(&path, "text/plain", b"");
        assert_eq!((refused.status, &refused.json()["field"]), (422, &"ambient".into()), "{degc}");
        let folder = tempfile::tempdir().unwrap();
        let ambient = format!("--ambient={degc}degC");
        let said = crate::support::program::run(folder.path(), &["fitness", &ambient]);
        assert!(!said.status.success());
        assert!(crate::support::program::text(&said.stderr).contains("--ambient"));
    }
}
