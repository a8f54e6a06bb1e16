//! A visit entered by the page: in the procedure's order, each entry once however often it is sent.

use std::path::Path;

use loopcrest::description::Description;
use serde_json::{Value, json};

use crate::support::program;
use crate::support::served::Served;
use crate::support::worksheet::{go_on, post};

fn opening() -> Value {
    json!({ "by": "A. Person", "regulator": "R-07", "meter": "precision-true-rms-clamp", "day": "2026-11-25" })
}

struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("bench.toml"), Description::EMBEDDED_TEXT).unwrap();
        Self { folder }
    }

    fn path(&self, name: &str) -> String {
        self.folder.path().join(name).to_str().unwrap().to_owned()
    }

    fn serve(&self) -> Served {
        Served::start(&[&self.path("bench.toml"), "--logbook", &self.path("visits.sqlite")])
    }
}

fn listed(folder: &Path) -> Value {
    let shown =
        program::run(folder, &["logbook", "show", "1", "--json", "--logbook", "visits.sqlite"]);
    serde_json::from_slice(&shown.stdout)
        .unwrap_or_else(|error| panic!("{error}: {}", program::text(&shown.stderr)))
}

#[test]
fn law_page_without_a_logbook_keeps_no_visit() {
    let served = Served::start(&[]);
    assert_eq!(served.get("/api/v1/visits").status, 404);
    let refused = post(&served, "/api/v1/visits", "name-0001", &opening());
    assert_eq!(refused.status, 404);
    assert!(refused.json()["hint"].as_str().unwrap().contains("--logbook"));
    // Nor is a visit made to an invented regulator.
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("visits.sqlite");
    let served = Served::start(&["--logbook", file.to_str().unwrap()]);
    let refused = post(&served, "/api/v1/visits", "name-0001", &opening());
    assert_eq!((refused.status, refused.json()["field"].clone()), (422, json!("regulator")));
}

#[test]
fn law_page_writes_each_entry_once() {
    let bench = Bench::new();
    let served = bench.serve();
    let first = post(&served, "/api/v1/visits", "opening-0001", &opening());
    assert_eq!(first.status, 200, "{}", String::from_utf8_lossy(&first.body));
    let (first, again) =
        (first.json(), post(&served, "/api/v1/visits", "opening-0001", &opening()).json());
    assert_eq!((first["is_new"].clone(), again["is_new"].clone()), (json!(true), json!(false)));
    assert_eq!(first["entry"], again["entry"]);
    assert_eq!(first["entry"]["number"], 1);
    // Another name is another visit, and there is one open.
    assert_eq!(post(&served, "/api/v1/visits", "opening-0002", &opening()).status, 422);

    let entries = "/api/v1/visits/1/entries";
    let remark =
        |text: &str| json!({ "by": "A. Person", "entry": { "kind": "remark", "text": text } });
    for name in ["", "short", "with blank in it", "with;semicolon", &"x".repeat(65)] {
        assert_eq!(post(&served, entries, name, &remark("x")).status, 422, "{name:?}");
    }
    let unnamed = served.post(entries, "application/json", remark("x").to_string().as_bytes());
    assert_eq!(unnamed.json()["field"], "Idempotency-Key");
    let sent: Vec<Value> = std::thread::scope(|scope| {
        let all: Vec<_> = (0..8)
            .map(|_| {
                scope.spawn(|| post(&served, entries, "remark-0001", &remark("wet floor")).json())
            })
            .collect();
        all.into_iter().map(|one| one.join().unwrap()).collect()
    });
    assert_eq!(sent.iter().filter(|one| one["is_new"] == true).count(), 1, "{sent:?}");
    assert!(sent.iter().all(|one| one["entry"] == sent[0]["entry"]));
    // A queue that is sent again after the server was begun anew, and by way of another name's end.
    drop(served);
    let served = bench.serve();
    assert_eq!(post(&served, entries, "remark-0001", &remark("wet floor")).json()["is_new"], false);
    assert_eq!(
        post(&served, entries, "a-remark-0001", &remark("dry floor")).json()["is_new"],
        true
    );
    assert_eq!(post(&served, entries, "opening-0001", &remark("x")).status, 409);
    assert_eq!(post(&served, "/api/v1/visits/7/entries", "remark-0003", &remark("x")).status, 404);
    let kinds: Vec<Value> = listed(bench.folder.path())["entries"]
        .as_array()
        .unwrap()
        .iter()
        .map(|entry| entry["entry"].clone())
        .collect();
    assert_eq!(kinds.len(), 3, "{kinds:?}");
}

/// The whole procedure, each entry sent twice, ends as a visit the logbook vouches for.
#[test]
fn law_page_leads_through_a_visit() {
    let bench = Bench::new();
    let served = bench.serve();
    post(&served, "/api/v1/visits", "opening-0001", &opening());
    let entries = "/api/v1/visits/1/entries";
    let steps = served.get("/api/v1/choices").json()["steps"].clone();
    let nominal = |number: &Value| {
        let step = steps.as_array().unwrap().iter().find(|step| step["number"] == *number).unwrap();
        format!("{:.2}", step["nominal_rms_a"].as_f64().unwrap())
    };
    let early = json!({ "kind": "closing", "complete": true });
    let refused =
        post(&served, entries, "early-0001", &json!({ "by": "A. Person", "entry": early }));
    assert_eq!(refused.status, 409, "{}", refused.json());
    let (mut written, mut readings, mut cautions) = (1, 0, 0);
    let mut place = Value::Null;
    for turn in 0.. {
        assert!(turn < 200, "the procedure has no end");
        let next = served.get("/api/v1/visits/1/next").json();
        cautions += next["item_cautions"].as_array().unwrap().len();
        assert!(!next["cautions"].as_array().unwrap().is_empty());
        let item = next["item"].clone();
        let entry = match next["kind"].as_str().unwrap() {
            "confirm" => json!({ "kind": "answer", "item": item, "holds": true }),
            "ask" => json!({ "kind": "answer", "item": item, "text": "as planned" }),
            // Read again at the same place: the number was not accepted there, and stays.
            "read" if next["moment"] == "as-left" && place == next["step"] => json!({
                "kind": "leave-step", "step": next["step"], "moment": next["moment"],
                "reason": "the adjuster is at its end",
            }),
            "read" => {
                readings += 1;
                place =
                    if next["moment"] == "as-left" { next["step"].clone() } else { Value::Null };
                json!({
                    "kind": "reading", "step": next["step"], "moment": next["moment"],
                    "output": next["output"], "typed": nominal(&next["step"]), "keep_doubtful": true,
                })
            }
            "prove" => {
                json!({ "kind": "proof", "item": item, "acted": true, "shown": "6.93", "time": "4 s" })
            }
            "close" => json!({ "kind": "closing", "complete": true, "next_due": "2027-11-25" }),
            other => panic!("{other}: {next}"),
        };
        if next["kind"] == "read" && readings == 1 {
            // A slip is asked about, and nothing is written meanwhile.
            let mut slip = entry.clone();
            (slip["typed"], slip["keep_doubtful"]) = (json!("66"), json!(false));
            let asked =
                post(&served, entries, "slip-00001", &json!({ "by": "A. Person", "entry": slip }));
            assert_eq!((asked.status, asked.json()["field"].clone()), (409, json!("typed")));
        }
        let name = format!("entry-{turn:05}");
        let body = json!({ "by": "A. Person", "entry": entry });
        let first = post(&served, entries, &name, &body);
        assert_eq!(first.status, 200, "{body}: {}", first.json());
        assert_eq!(first.json()["is_new"], true);
        assert_eq!(post(&served, entries, &name, &body).json()["is_new"], false);
        written += 1;
        if next["kind"] == "close" {
            break;
        }
    }
    assert!(readings >= 10 && cautions > 0, "{readings} readings, {cautions} cautions");
    let record = listed(bench.folder.path());
    assert_eq!(record["entries"].as_array().unwrap().len(), written);
    assert_eq!(record["visit"]["state"], "complete", "{}", record["visit"]);
    let verified =
        program::run(bench.folder.path(), &["logbook", "verify", "--logbook", "visits.sqlite"]);
    assert_eq!(verified.status.code(), Some(0), "{}", program::text(&verified.stdout));
    let alike = |path: &str, arguments: &[&str]| {
        let all: Vec<&str> = ["logbook"]
            .iter()
            .chain(arguments)
            .chain(&["--json", "--logbook", "visits.sqlite"])
            .copied()
            .collect();
        let printed = program::run(bench.folder.path(), &all);
        let want: Value = serde_json::from_slice(&printed.stdout).unwrap();
        let mut got = served.get(path).json();
        // The one was told the whole path.
        got["logbook"] = want["logbook"].clone();
        assert_eq!(got, want, "{path}");
    };
    alike("/api/v1/visits/1", &["show", "1"]);
    alike("/api/v1/visits", &["visits"]);
    alike("/api/v1/equipment", &["equipment"]);
    assert_eq!(served.get("/api/v1/visits/1/next").json()["kind"], "finished");
}

/// A visit of the same number in another logbook is another visit.
#[test]
fn law_page_writes_an_entry_into_the_visit_that_was_seen() {
    let bench = Bench::new();
    let served = bench.serve();
    let first = post(&served, "/api/v1/visits", "opening-0001", &opening()).json();
    let hash = first["entry"]["hash"].clone();
    let next = served.get("/api/v1/visits/1/next").json();
    assert_eq!(next["opening_hash"], hash);
    let other =
        Served::start(&[&bench.path("bench.toml"), "--logbook", &bench.path("other.sqlite")]);
    let mut opened = opening();
    opened["regulator"] = json!("R-99");
    post(&other, "/api/v1/visits", "opening-0002", &opened);
    let entries = "/api/v1/visits/1/entries";
    let remark = json!({ "by": "A. Person", "opening_hash": hash, "entry": { "kind": "remark", "text": "x" } });
    let refused = post(&other, entries, "remark-0001", &remark);
    assert_eq!((refused.status, refused.json()["field"].clone()), (409, json!("opening_hash")));
    assert!(refused.json()["detail"].as_str().unwrap().contains("R-99"), "{}", refused.json());
    assert_eq!(post(&served, entries, "remark-0001", &remark).status, 200);
    // Left out, it is not asked about.
    let plain = json!({ "by": "A. Person", "entry": { "kind": "remark", "text": "x" } });
    assert_eq!(post(&other, entries, "remark-0002", &plain).status, 200);
}

#[test]
fn law_page_takes_back_the_entry_that_was_named() {
    let bench = Bench::new();
    let served = bench.serve();
    post(&served, "/api/v1/visits", "opening-0001", &opening());
    assert_eq!(served.get("/api/v1/visits/1/next").json()["last_entry"], Value::Null);
    let first = go_on(&served, |next| !next["last_entry"].is_null())["last_entry"].clone();
    let next = go_on(&served, |next| next["last_entry"] != first);
    let take_back = |name: &str, entry: &Value| {
        let body = json!({ "by": "A. Person", "entry": { "kind": "take-back", "entry": entry } });
        post(&served, "/api/v1/visits/1/entries", name, &body)
    };
    let refused = take_back("take-back-1", &first);
    assert_eq!((refused.status, refused.json()["field"].clone()), (409, json!("entry")));
    let taken = take_back("take-back-2", &next["last_entry"]);
    assert_eq!(taken.status, 200, "{}", taken.json());
    assert_eq!(taken.json()["entry"]["replaces"], next["last_entry"]);
    assert_eq!(served.get("/api/v1/visits/1/next").json()["last_entry"], first);
}

#[test]
fn law_page_says_of_a_right_reading_that_it_is_right() {
    let bench = Bench::new();
    let served = bench.serve();
    post(&served, "/api/v1/visits", "opening-0001", &opening());
    let next = go_on(&served, |next| next["kind"] == "read" && next["moment"] == "as-left");
    let far = served.get("/api/v1/visits/1/calibration").json();
    let found = &far["readings"][0];
    // One of the two, by what the reading was judged to be.
    let (right, wrong) = (&next["right_as_found"], &next["last_typed"]);
    if found["is_accepted"] == true {
        assert_eq!((right, wrong), (&found["typed"], &Value::Null));
    } else {
        assert_eq!((right, wrong), (&Value::Null, &found["typed"]));
    }
    assert_eq!(found["is_accepted"], true, "the case this is about: {found}");
}

/// Dangers come with what is asked, not after what was read.
#[test]
fn law_page_tells_of_a_danger_before_the_clamp_is_fitted() {
    let bench = Bench::new();
    let served = bench.serve();
    post(&served, "/api/v1/visits", "opening-0001", &opening());
    for item in ["meter-category", "meter-verdict"] {
        let next = go_on(&served, |next| next["item"] == item);
        let dangers = next["dangers"].as_array().unwrap();
        assert!(dangers[0].as_str().unwrap().contains("field"), "{next}");
        assert_eq!(next["knows_against"], true, "{next}");
    }
    assert_eq!(go_on(&served, |next| next["item"] == "output-shorted")["dangers"], json!([]));
    let next = go_on(&served, |next| next["item"] == "field-restored");
    assert_eq!(next["dangers"].as_array().unwrap().len(), 1, "{next}");
    let read = go_on(&served, |next| next["kind"] == "read" && next["output"] == "field");
    assert_eq!(read["dangers"], next["dangers"]);
    // And they stay with the visit once it is over, beside its readings.
    go_on(&served, |next| next["kind"] == "finished");
    let far = served.get("/api/v1/visits/1/calibration");
    assert_eq!(far.status, 200, "{}", far.json());
    assert!(!far.json()["dangers"].as_array().unwrap().is_empty());
    assert!(far.json()["readings"].as_array().unwrap().len() >= 10);
}

#[test]
fn law_page_knows_a_name_that_is_used_for_something_else() {
    let bench = Bench::new();
    let served = bench.serve();
    post(&served, "/api/v1/visits", "opening-0001", &opening());
    let mut other = opening();
    other["by"] = json!("B. Person");
    assert_eq!(post(&served, "/api/v1/visits", "opening-0001", &other).status, 422);
    let entries = "/api/v1/visits/1/entries";
    let send = |name: &str, entry: Value| {
        post(&served, entries, name, &json!({ "by": "A. Person", "entry": entry }))
    };
    assert_eq!(send("remark-0001", json!({ "kind": "remark", "text": "wet floor" })).status, 200);
    let refused = send("remark-0001", json!({ "kind": "remark", "text": "dry floor" }));
    assert_eq!((refused.status, refused.json()["field"].clone()), (422, json!("Idempotency-Key")));
    // What says nothing, or more than a record can show, is no entry.
    assert_eq!(send("remark-0002", json!({ "kind": "remark", "text": "  " })).status, 422);
    let long = "x".repeat(10_001);
    assert_eq!(send("remark-0003", json!({ "kind": "remark", "text": long })).status, 422);
    let body = json!({ "by": "x".repeat(201), "entry": { "kind": "remark", "text": "x" } });
    assert_eq!(post(&served, entries, "remark-0004", &body).json()["field"], "by");
    let mut cold = opening();
    cold["ambient_degc"] = json!(-300.0);
    assert_eq!(
        post(&served, "/api/v1/visits", "opening-0002", &cold).json()["field"],
        "ambient_degc"
    );
}

/// The port is always the same, for a browser keeps what waits by it; where it is taken that is said.
#[test]
fn law_page_says_when_its_port_is_taken() {
    // Whoever holds it: this test, or another page of this machine.
    let held = std::net::TcpListener::bind(("127.0.0.1", 8600));
    let served = Served::start_as(&[]);
    assert_ne!(served.port, 8600);
    served.signal("TERM");
    let (_, said) = served.ended();
    assert!(said.contains("port 8600 is taken"), "{said}");
    drop(held);
}
