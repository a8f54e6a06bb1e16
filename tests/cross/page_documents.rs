//! The page's server and the command line are two faces of one program: the same document for the same question.

use serde_json::Value;

use crate::support::program;
use crate::support::served::{Served, query};

fn of_program(arguments: &[&str]) -> Value {
    let folder = tempfile::tempdir().unwrap();
    let output = program::run(folder.path(), arguments);
    assert!(
        matches!(output.status.code(), Some(0 | 1)),
        "{arguments:?}: {}",
        program::text(&output.stderr)
    );
    serde_json::from_slice(&output.stdout).unwrap()
}

#[test]
fn cross_page_and_program_see_the_same_situation() {
    let served = Served::start(&[]);
    let cases: [&[(&str, &str)]; 6] = [
        &[],
        &[("step", "1"), ("load", "shorted"), ("meter", "average,true-rms,peak")],
        &[("step", "2"), ("load", "60 %"), ("meter", "general-true-rms-clamp")],
        &[("step", "1"), ("load", "58 %")],
        &[("load", "field"), ("lamps-out", "10 %")],
        &[("step", "4"), ("load", "50 %"), ("sense", "average"), ("supply-voltage", "95 %")],
    ];
    for case in cases {
        let answer = served.get(&format!("/api/v1/situation?{}", query(case)));
        assert_eq!(answer.status, 200, "{case:?}: {}", String::from_utf8_lossy(&answer.body));
        let mut arguments = vec!["situation".to_owned(), "--json".to_owned()];
        arguments.extend(case.iter().map(|(key, value)| format!("--{key}={value}")));
        let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
        assert_eq!(answer.json(), of_program(&arguments), "{case:?}");
    }
}

#[test]
fn cross_page_and_program_set_the_same_side_by_side() {
    let served = Served::start(&[]);
    let asked = query(&[
        ("step", "1"),
        ("load", "shorted"),
        ("meter", "average,general-true-rms-clamp"),
        ("against.load", "full"),
        ("against.supply-voltage", "97 %"),
    ]);
    let answer = served.get(&format!("/api/v1/situation/pair?{asked}"));
    assert_eq!(answer.status, 200, "{}", String::from_utf8_lossy(&answer.body));
    let got = answer.json();
    let want = of_program(&[
        "situation",
        "--json",
        "--step=1",
        "--load=shorted",
        "--meter=average,general-true-rms-clamp",
        "--against=load=full",
        "--against=supply-voltage=97 %",
    ]);
    assert_eq!(got, want);
    let of = |side: &str| got[side]["meters"][0]["error_ratio"].as_f64().unwrap();
    let moved = got["differences"]["meters"][0]["error_ratio"].as_f64().unwrap();
    assert!((of("other") - of("one") - moved).abs() < 1e-12);
    assert!(
        moved > 0.01,
        "the error of an average meter changes from a short to full load: {moved}"
    );
}

#[test]
fn cross_page_and_program_judge_the_same() {
    let served = Served::start(&[]);
    let text = loopcrest::description::Description::EMBEDDED_TEXT;
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("bench.toml");
    std::fs::write(&file, text).unwrap();
    let file = file.to_str().unwrap();

    let want = of_program(&["judge", file, "--json"]);
    assert_eq!(served.post("/api/v1/survey", "application/toml", text.as_bytes()).json(), want);
    assert_eq!(served.get("/api/v1/survey").json(), want);

    let asked =
        "meter=general-true-rms-clamp&step=1&shown=2.81%20A&probability=97.5%25&today=2026-11-25";
    let answer = served.post(&format!("/api/v1/fitness?{asked}"), "application/toml", b"");
    let want = of_program(&[
        "fitness",
        "--json",
        "--meter",
        "general-true-rms-clamp",
        "--step",
        "1",
        "--shown",
        "2.81 A",
        "--probability",
        "97.5%",
        "--today",
        "2026-11-25",
    ]);
    assert_eq!(answer.json(), want);
    assert_eq!(served.get("/api/v1/meters").json(), of_program(&["meters", "--json"]));
}

/// The sheet on the meter desk is the meter that is judged.
#[test]
fn cross_page_judges_the_sheet_that_is_sent() {
    let served = Served::start(&[]);
    let meters = served.get("/api/v1/meters").json();
    let kind = meters["archetypes"].as_array().unwrap().iter();
    let kind = kind.clone().find(|kind| kind["key"] == "general-true-rms-clamp").unwrap();
    let body = serde_json::json!({ "sheet": kind["toml"] }).to_string();
    let path = "/api/v1/fitness?step=1";
    let sent = served.post(path, "application/json", body.as_bytes());
    assert_eq!(sent.status, 200, "{}", String::from_utf8_lossy(&sent.body));
    let (sent, named) = (
        sent.json(),
        served
            .post("/api/v1/fitness?step=1&meter=general-true-rms-clamp", "text/plain", b"")
            .json(),
    );
    for place in 0..named["verdicts"].as_array().unwrap().len() {
        let part = |document: &Value, key: &str| document["verdicts"][place][key].clone();
        for key in ["verdict", "set_band", "step"] {
            assert_eq!(part(&sent, key), part(&named, key), "{key}");
        }
    }
    let refused = served.post(path, "application/json", br#"{"sheet": "[[meter]]\nname = 3\n"}"#);
    assert_eq!(refused.status, 422);
    assert_eq!(refused.json()["line"], 2, "{}", refused.json());
}

#[test]
fn cross_page_and_program_read_the_same_capture() {
    let served = Served::start(&[]);
    let folder = tempfile::tempdir().unwrap();
    let mut text = String::from("time (s),current (A)\n");
    for sample in 0..6000 {
        let time_s = f64::from(sample) / 30_000.0;
        let angle = std::f64::consts::TAU * 60.0 * time_s;
        let current_a = 6.6 * 2_f64.sqrt() * (angle.sin() + 0.2 * (3.0 * angle).sin());
        text += &format!("{time_s:.9},{current_a:.6}\n");
    }
    std::fs::write(folder.path().join("scope.csv"), &text).unwrap();
    let output = program::run(folder.path(), &["capture", "scope.csv", "--json", "--to", "0.15 s"]);
    assert!(output.status.success(), "{}", program::text(&output.stderr));
    let want: Value = serde_json::from_slice(&output.stdout).unwrap();
    let asked = query(&[("name", "scope.csv"), ("to", "0.15 s")]);
    let answer = served.post(&format!("/api/v1/captures?{asked}"), "text/csv", text.as_bytes());
    assert_eq!(answer.status, 200, "{}", String::from_utf8_lossy(&answer.body));
    assert_eq!(answer.json(), want);
}

/// An estimate is told as it runs, ends with the very document of the command line, and can be ended before.
#[test]
fn cross_page_and_program_estimate_the_same() {
    let served = Served::start(&[]);
    let begun = served.post(
        "/api/v1/estimates?step=1&load=50%25&circuits=200&pairs=0&seed=7",
        "application/toml",
        b"",
    );
    assert_eq!(begun.status, 202, "{}", String::from_utf8_lossy(&begun.body));
    let status = begun.json();
    assert_eq!(begun.header("location"), status["result"].as_str());
    let events = served.get(status["events"].as_str().unwrap());
    assert_eq!(events.header("content-type"), Some("text/event-stream"));
    let events = String::from_utf8(events.body).unwrap();
    assert!(events.contains("event: done"), "{events}");
    let got = served.get(status["result"].as_str().unwrap()).json();
    let want = of_program(&[
        "estimate",
        "--json",
        "--step",
        "1",
        "--load",
        "50%",
        "--circuits",
        "200",
        "--pairs",
        "0",
        "--seed",
        "7",
    ]);
    assert_eq!(got, want);

    let long = served.post("/api/v1/estimates?circuits=20000&pairs=5000", "text/plain", b"").json();
    let path = served.at(long["result"].as_str().unwrap());
    let agent = crate::support::served::agent();
    assert_eq!(agent.delete(&path).call().unwrap().status(), 204);
    let events = served.get(long["events"].as_str().unwrap());
    assert!(String::from_utf8(events.body).unwrap().contains("event: cancelled"));
    assert_eq!(served.get(long["result"].as_str().unwrap()).status, 409);
}
