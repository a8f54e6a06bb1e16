//! A visit on the worksheet of the page, in a real browser.

use serde_json::{Value, json};

use super::browser::Browser;
use super::program;
use super::served::{Answer, Served, agent, answer};

const UNCHECKED: &str = "what the worksheet of the page does in a browser";

/// Sends an entry under a name.
pub(crate) fn post(served: &Served, path: &str, name: &str, body: &Value) -> Answer {
    let request = agent().post(served.at(path)).header("idempotency-key", name);
    answer(request.content_type("application/json").send(body.to_string()).unwrap())
}

/// A good answer to what comes next; every step is at its nominal, and a step read once more as left is left.
pub(crate) fn good_answer(served: &Served, next: &Value) -> Value {
    let item = &next["item"];
    match next["kind"].as_str().unwrap() {
        "confirm" => json!({ "kind": "answer", "item": item, "holds": true }),
        "ask" => json!({ "kind": "answer", "item": item, "text": "as planned" }),
        "read" if next["moment"] == "as-left" && !next["last_typed"].is_null() => json!({
            "kind": "leave-step", "step": next["step"], "moment": next["moment"],
            "reason": "the adjuster is at its end",
        }),
        "read" => {
            let steps = served.get("/api/v1/choices").json()["steps"].clone();
            let is_it = |step: &&Value| step["number"] == next["step"];
            let step = steps.as_array().unwrap().iter().find(is_it).unwrap();
            let typed = format!("{:.2}", step["nominal_rms_a"].as_f64().unwrap());
            json!({
                "kind": "reading", "step": next["step"], "moment": next["moment"],
                "output": next["output"], "typed": typed, "keep_doubtful": true,
            })
        }
        "prove" => {
            json!({ "kind": "proof", "item": item, "acted": true, "shown": "6.93", "time": "4 s" })
        }
        "close" => json!({ "kind": "closing", "complete": true, "next_due": "2027-11-25" }),
        other => panic!("{other}: {next}"),
    }
}

/// Goes on by the program alone, with good answers, until what comes next is so; what comes then.
pub(crate) fn go_on(served: &Served, is_there: impl Fn(&Value) -> bool) -> Value {
    for turn in 0..300 {
        let next = served.get("/api/v1/visits/1/next").json();
        if is_there(&next) {
            return next;
        }
        let entry = good_answer(served, &next);
        let name = format!("going-on-{}-{turn}", next["last_entry"]);
        let body = json!({ "by": "A. Person", "entry": entry });
        let sent = post(served, "/api/v1/visits/1/entries", &name, &body);
        assert_eq!(sent.status, 200, "{body}: {}", sent.json());
    }
    panic!("it never comes to that");
}

/// A visit on the worksheet of the page.
pub(crate) struct Visit {
    pub(crate) folder: tempfile::TempDir,
    pub(crate) served: Served,
    pub(crate) browser: Browser,
}

impl Visit {
    /// A visit begun on the page.
    pub(crate) fn begun() -> Option<Self> {
        let browser = Browser::open(UNCHECKED)?;
        let folder = tempfile::tempdir().unwrap();
        let path = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
        std::fs::write(path("bench.toml"), loopcrest::description::Description::EMBEDDED_TEXT)
            .unwrap();
        let served = Served::start(&[&path("bench.toml"), "--logbook", &path("visits.sqlite")]);
        browser.size(800, 1280);
        browser.open_page(&served.at("/#worksheet"));
        browser.wait_until("document.getElementById('visit-by')");
        for (id, text) in
            [("by", "A. Person"), ("regulator", "R-07"), ("meter", "general-true-rms-clamp")]
        {
            browser.keys(&format!("#visit-{id}"), text);
        }
        browser.script("document.querySelector('#worksheet form').requestSubmit()");
        browser.wait_until("document.getElementById('worksheet-item')");
        Some(Self { folder, served, browser })
    }

    /// The entries as the program lists them.
    pub(crate) fn entries(&self) -> Vec<Value> {
        let shown = program::run(
            self.folder.path(),
            &["logbook", "show", "1", "--json", "--logbook", "visits.sqlite"],
        );
        let document: Value = serde_json::from_slice(&shown.stdout)
            .unwrap_or_else(|error| panic!("{error}: {}", program::text(&shown.stderr)));
        document["entries"].as_array().unwrap().clone()
    }

    /// What comes next, by the program.
    pub(crate) fn next(&self) -> Value {
        self.served.get("/api/v1/visits/1/next").json()
    }

    /// Where a file of this visit's folder stands.
    pub(crate) fn path(&self, name: &str) -> String {
        self.folder.path().join(name).to_str().unwrap().to_owned()
    }

    /// Ends the program.
    pub(crate) fn end(&mut self) {
        self.served.end();
    }

    /// Begins it again at the same port, with this logbook or none.
    pub(crate) fn begin_again(&mut self, logbook: Option<&str>) {
        let port = self.served.port;
        self.served.end();
        let (bench, logbook) = (self.path("bench.toml"), logbook.map(|name| self.path(name)));
        let mut arguments = vec![bench.as_str()];
        if let Some(logbook) = &logbook {
            arguments.extend(["--logbook", logbook]);
        }
        self.served = Served::start_at(port, &arguments);
    }

    /// Types into the element of a selector in the place of what stands there.
    pub(crate) fn retype(&self, selector: &str, text: &str) {
        self.browser.script(&format!("document.querySelector({}).value = ''", json!(selector)));
        self.browser.keys(selector, text);
    }

    /// Entries that wait or were refused.
    pub(crate) fn queued(&self) -> usize {
        let script = "return JSON.parse(localStorage.getItem('loopcrest.queue') ?? '[]').length";
        self.browser.script(script).as_u64().unwrap() as usize
    }

    /// Waits until the page stands at the item the program asks for, ready for a tap.
    #[track_caller]
    pub(crate) fn settled(&self) {
        let began = std::time::Instant::now();
        loop {
            // Asked anew every time: an entry may still be on its way.
            let next = self.next();
            let text = match next["kind"].as_str().unwrap() {
                "close" => json!("Close the visit"),
                _ => next["text"].clone(),
            };
            let is_there = format!(
                "return !!document.querySelector('#worksheet-line:not(.waiting)') && \
                 document.querySelector('#worksheet-item')?.textContent === {text} && \
                 !document.querySelector('.item button:disabled')"
            );
            if self.browser.script(&is_there) == true {
                return;
            }
            assert!(
                began.elapsed() < std::time::Duration::from_secs(60),
                "{next}: {}",
                self.browser.script("return document.body.innerText")
            );
            std::thread::sleep(std::time::Duration::from_millis(50));
        }
    }

    /// Clicks the element of a selector.
    pub(crate) fn click(&self, selector: &str) {
        self.browser.script(&format!("document.querySelector({}).click()", json!(selector)));
    }

    /// Goes on by the page until a reading is asked for.
    pub(crate) fn to_the_first_reading(&self) {
        for turn in 0.. {
            assert!(turn < 60, "no reading is ever asked for");
            self.settled();
            match self.next()["kind"].as_str().unwrap() {
                "confirm" => self.click("#answer-yes"),
                "ask" => {
                    self.browser.keys("#answer-text", "as planned");
                    self.click(".item button[type=submit]");
                }
                "read" => return,
                other => panic!("{other}"),
            }
        }
    }
}
