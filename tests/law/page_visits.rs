//! A visit entered by the page: in the procedure's order, each entry once however often it is sent.

use std::path::Path;

use loopcrest::description::Description;
use serde_json::{Value, json};

use crate::support::program;
use crate::support::served::{Answer, Served, agent, answer};

fn post(served: &Served, path: &str, name: &str, body: &Value) -> Answer {
    let request = agent().post(served.at(path)).header("idempotency-key", name);
    answer(request.content_type("application/json").send(body.to_string()).unwrap())
}

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
