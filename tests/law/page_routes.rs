//! What the page's server answers: every route as its OpenAPI document says, errors as problems, no file of a
//! client's choosing.

use std::collections::BTreeSet;

use loopcrest::web::{Problem, endpoints};
use serde_json::Value;

use crate::support::served::{Served, agent, answer};

fn filled(path: &str) -> String {
    path.replace("{number}", "1").replace("{kind}", "busy").replace("{visit}", "1")
}

/// The document and the router: every operation of the one is answered by the other, and nothing else is.
#[test]
fn law_page_routes_are_those_of_its_open_api_document() {
    let served = Served::start(&[]);
    let document = served.get("/api/v1/openapi.json").json();
    assert_eq!(document["openapi"], "3.1.0");
    let mut operations: BTreeSet<(String, String)> = BTreeSet::new();
    for (path, methods) in document["paths"].as_object().unwrap() {
        for method in methods.as_object().unwrap().keys() {
            operations.insert((path.clone(), method.to_uppercase()));
        }
    }
    let listed: BTreeSet<(String, String)> = endpoints()
        .iter()
        .map(|endpoint| (endpoint.path.to_owned(), endpoint.method.to_owned()))
        .collect();
    assert_eq!(operations, listed);
    assert!(operations.len() >= 15, "{operations:?}");
    let paths: BTreeSet<&String> = operations.iter().map(|(path, _)| path).collect();
    for path in paths {
        for method in ["GET", "POST", "PUT", "PATCH", "DELETE"] {
            let request =
                ureq::http::Request::builder().method(method).uri(served.at(&filled(path)));
            let got = answer(agent().run(request.body(()).unwrap()).unwrap());
            let is_listed = operations.contains(&(path.clone(), method.to_owned()));
            assert_eq!(got.status != 405, is_listed, "{method} {path}: {}", got.status);
            if !is_listed {
                let allowed: BTreeSet<&str> = got.header("allow").unwrap().split(", ").collect();
                for method in ["GET", "POST", "DELETE"] {
                    let is_listed = operations.contains(&(path.clone(), method.to_owned()));
                    assert_eq!(allowed.contains(method), is_listed, "{path}: {allowed:?}");
                }
            } else if got.status == 404 {
                // Something of that name is missing; the route itself is there.
                assert_ne!(got.json()["detail"], "there is nothing at this address", "{path}");
            }
            let statuses = &document["paths"][path.as_str()][method.to_lowercase()]["responses"];
            if is_listed {
                assert!(
                    statuses.get(got.status.to_string()).is_some(),
                    "{method} {path}: {}",
                    got.status
                );
            }
        }
    }
    for path in [
        "/api",
        "/api/v1",
        "/api/v1/",
        "/api/v2/situation",
        "/page",
        "/../Cargo.toml",
        "/..%2fCargo.toml",
    ] {
        let got = served.get(path);
        assert_eq!(got.status, 404, "{path}");
        assert_eq!(got.json()["type"], "/api/v1/problems/not-found");
    }
}

/// Every reference in the document leads somewhere.
#[test]
fn law_page_open_api_document_is_whole() {
    fn references<'a>(value: &'a Value, into: &mut Vec<&'a str>) {
        match value {
            Value::Object(members) => {
                for (key, member) in members {
                    match member.as_str() {
                        Some(text) if key == "$ref" => into.push(text),
                        _ => references(member, into),
                    }
                }
            }
            Value::Array(items) => items.iter().for_each(|item| references(item, into)),
            _ => {}
        }
    }
    let served = Served::start(&[]);
    let document = served.get("/api/v1/openapi.json").json();
    let mut all = Vec::new();
    references(&document, &mut all);
    assert!(all.len() > 100);
    for reference in all {
        let pointer = reference.strip_prefix('#').unwrap();
        assert!(document.pointer(pointer).is_some(), "{reference}");
    }
}

#[test]
fn law_page_problems_say_what_to_change() {
    let served = Served::start(&[]);
    let cases = [
        ("/api/v1/situation?step=9", 422, "step", "a step of the description"),
        ("/api/v1/situation?step=x", 422, "step", "the number of a step"),
        ("/api/v1/situation?load=400%25", 422, "load", "0.001 to 2"),
        ("/api/v1/situation?metre=average", 422, "metre", "meter"),
        ("/api/v1/situation?meter=avrage", 422, "meter", "average"),
        ("/api/v1/situation?step=1&step=2", 400, "step", ""),
        ("/api/v1/choices?x=1", 422, "x", "no key at all"),
        ("/api/v1/situation/current.svg?lamps-out=900%25", 422, "lamps-out", "0"),
    ];
    for (path, status, field, allowed) in cases {
        let got = served.get(path);
        assert_eq!(got.status, status, "{path}");
        assert_eq!(got.header("content-type"), Some(Problem::MEDIA_TYPE));
        let problem = got.json();
        assert_eq!(problem["status"], status, "{path}");
        assert_eq!(problem["field"], field, "{path}: {problem}");
        for member in ["type", "title", "detail"] {
            assert!(
                problem[member].as_str().is_some_and(|text| !text.is_empty()),
                "{path}: {member}"
            );
        }
        if !allowed.is_empty() {
            assert!(problem["allowed"].as_str().unwrap().contains(allowed), "{path}: {problem}");
        }
        // The type can be looked up.
        let kind = served.get(problem["type"].as_str().unwrap());
        assert_eq!(kind.status, 200);
    }
    for (kind, ..) in Problem::KINDS {
        assert!(Problem::new(kind, "x").status >= 400, "{kind}");
    }
    let misspelt = served.get("/api/v1/situation?meter=avrage").json();
    assert_eq!(misspelt["hint"], "did you mean \"average\"?");
}

/// A description that is sent cannot make the server read a file: neither what is in it nor whether it exists shows.
#[test]
fn law_page_opens_no_file_a_client_names() {
    let served = Served::start(&[]);
    let folder = tempfile::tempdir().unwrap();
    let secret = folder.path().join("secret.csv");
    std::fs::write(&secret, "time (s),current (A)\n0,1\n0.1,4711.25\n").unwrap();
    let missing = folder.path().join("missing.csv");
    let mut answers = Vec::new();
    for file in [&secret, &missing] {
        let file = file.to_str().unwrap();
        let capture = format!(
            "format = 1\ntitle = \"x\"\ninvented = true\n[steps]\ncircuit = \"6.6A-5-step\"\n[current]\ncapture = {{ file = {file:?} }}\n\
             [[meter]]\nname = \"m\"\ndetector = \"average\"\n"
        );
        let groups = loopcrest::description::Description::EMBEDDED_TEXT.replacen(
            "[field]",
            &format!("[field]\ngroups-from = {file:?}"),
            1,
        );
        assert!(groups.contains("groups-from"));
        for text in [capture, groups] {
            for path in ["/api/v1/survey", "/api/v1/fitness", "/api/v1/estimates"] {
                let got = served.post(path, "application/toml", text.as_bytes());
                let problem = got.json();
                assert_eq!(got.status, 422, "{path}: {problem}");
                let said = problem["detail"].as_str().unwrap();
                assert!(said.contains("names no other file"), "{path}: {said}");
                assert!(!said.contains("4711"));
                answers.push((path, problem));
            }
        }
    }
    // The file that exists and the one that does not are answered alike.
    let (existing, absent) = answers.split_at(answers.len() / 2);
    assert_eq!(existing, absent);
}

#[test]
fn law_page_refuses_bodies_it_does_not_take() {
    let served = Served::start(&["--largest-capture", "1"]);
    let survey = |kind: &str, body: &[u8]| served.post("/api/v1/survey", kind, body).status;
    assert_eq!(survey("application/x-www-form-urlencoded", b"a=b"), 415);
    assert_eq!(survey("multipart/form-data; boundary=x", b"--x--"), 415);
    assert_eq!(survey("application/toml", b"format = "), 422);
    assert_eq!(survey("application/toml", &[0xff, 0xfe, 0x00]), 422);
    assert_eq!(survey("text/plain; charset=utf-8", b""), 200);
    let large = vec![b' '; (1 << 20) + 1];
    let refused = served.post("/api/v1/survey", "application/toml", &large);
    assert_eq!(refused.status, 413);
    assert_eq!(refused.json()["allowed"], "1048576 bytes or less");
    assert_eq!(served.post("/api/v1/captures", "text/csv", &large).status, 413);
    assert_eq!(served.post("/api/v1/captures", "text/csv", b"").status, 422);
    assert_eq!(
        served.post("/api/v1/captures?step=9", "text/csv", b"1,2\n").json()["field"],
        "step"
    );
}

/// The figures are those of the situation, and say so where there is none to draw.
#[test]
fn law_page_draws_the_situation() {
    let served = Served::start(&[]);
    let asked = "step=1&load=shorted&meter=average,true-rms,peak";
    let svg = served.get(&format!("/api/v1/situation/current.svg?{asked}"));
    assert_eq!(svg.status, 200, "{}", String::from_utf8_lossy(&svg.body));
    assert_eq!(svg.header("content-type"), Some("image/svg+xml"));
    let svg = String::from_utf8(svg.body).unwrap();
    assert!(svg.starts_with("<svg") && svg.contains("Step 1"), "{}", &svg[..200]);
    let png = served.get(&format!("/api/v1/situation/harmonics.png?{asked}"));
    assert_eq!(&png.body[..8], b"\x89PNG\r\n\x1a\n");
    let table = served.get(&format!("/api/v1/situation/current.csv?{asked}"));
    let table = String::from_utf8(table.body).unwrap();
    let values: Vec<f64> = table
        .lines()
        .skip(1)
        .map(|line| line.split(',').nth(1).unwrap().parse().unwrap())
        .collect();
    let rms_a = (values.iter().map(|a| a * a).sum::<f64>() / values.len() as f64).sqrt();
    let seen = served.get(&format!("/api/v1/situation?{asked}")).json();
    let want_a = seen["situation"]["measures"]["rms_a"].as_f64().unwrap();
    crate::support::assert_relative(rms_a, want_a, 1e-8, "nine decimals are written");
    let out = "step=5&load=full&supply-voltage=80%25";
    let seen = served.get(&format!("/api/v1/situation?{out}")).json();
    assert_eq!(seen["situation"]["held"], false, "{}", seen["situation"]["limit_a"]);
    let refused = served.get(&format!("/api/v1/situation/current.svg?{out}"));
    assert_eq!(refused.status, 422);
    assert!(refused.json()["detail"].as_str().unwrap().contains("out of reach"));
    assert_eq!(served.get(&format!("/api/v1/situation/harmonics.svg?{out}")).status, 422);
    assert_eq!(served.get(&format!("/api/v1/situation/current.csv?{out}")).status, 200);
}

/// What a newer request of the same client has overtaken is given up; the newest is always answered.
#[test]
fn law_page_gives_up_what_is_overtaken() {
    let served = Served::start(&[]);
    let ask = |number: u64, load: u64| {
        let url = served.at(&format!("/api/v1/situation?step=2&load={load}%25"));
        let sequence = number.to_string();
        let request = agent().get(url).header("loopcrest-client", "page-7");
        answer(request.header("loopcrest-sequence", sequence).call().unwrap())
    };
    assert_eq!(ask(5, 30).status, 200);
    let late = ask(4, 30);
    assert_eq!(
        (late.status, late.json()["type"].as_str().unwrap().to_owned()),
        (409, "/api/v1/problems/overtaken".into())
    );
    assert_eq!(ask(5, 31).status, 200);
    let statuses: Vec<u16> = std::thread::scope(|scope| {
        let all: Vec<_> = (10..50)
            .map(|number| {
                let asked = scope.spawn(move || ask(number, 10 + number).status);
                std::thread::sleep(std::time::Duration::from_millis(1));
                asked
            })
            .collect();
        all.into_iter().map(|asked| asked.join().unwrap()).collect()
    });
    assert_eq!(statuses.last(), Some(&200), "{statuses:?}");
    assert!(statuses.iter().all(|status| matches!(status, 200 | 409)), "{statuses:?}");
    assert!(statuses.contains(&409), "nothing was overtaken: {statuses:?}");
    for (client, sequence) in
        [("page 7", "60"), ("page-7", "x"), ("page-7", "-1"), (&"x".repeat(65), "1")]
    {
        let request =
            agent().get(served.at("/api/v1/situation")).header("loopcrest-client", client);
        assert_eq!(request.header("loopcrest-sequence", sequence).call().unwrap().status(), 400);
    }
}
