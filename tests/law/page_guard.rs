//! Who is let in to the page's server: its own names, its own pages, and beyond the loopback those with its token.

use crate::support::served::{Answer, Served, agent, answer};

fn status_of(answer: &str) -> u16 {
    answer.split(' ').nth(1).and_then(|text| text.parse().ok()).unwrap_or(0)
}

fn with_headers(served: &Served, method: &str, path: &str, headers: &[(&str, &str)]) -> Answer {
    let mut request = ureq::http::Request::builder().method(method).uri(served.at(path));
    for (name, value) in headers {
        request = request.header(*name, *value);
    }
    answer(agent().run(request.body(()).unwrap()).unwrap())
}

/// A page elsewhere that points its own name at this machine still sends that name.
#[test]
fn law_page_answers_only_to_its_own_names() {
    let served = Served::start(&[]);
    let port = served.port;
    let ask = |host: &str| {
        status_of(&served.raw(
            format!("GET /api/v1/choices HTTP/1.1\r\n{host}connection: close\r\n\r\n").as_bytes(),
        ))
    };
    for own in ["127.0.0.1", "localhost", "LocalHost", "[::1]", "127.8.9.1"] {
        assert_eq!(ask(&format!("host: {own}:{port}\r\n")), 200, "{own}");
    }
    let other_port = if port == 80 { 81 } else { port - 1 };
    for other in [
        format!("host: rebound.example:{port}\r\n"),
        format!("host: localhost.rebound.example:{port}\r\n"),
        format!("host: 127.0.0.1.rebound.example:{port}\r\n"),
        format!("host: user@localhost:{port}\r\n"),
        format!("host: 192.0.2.7:{port}\r\n"),
        format!("host: 0.0.0.0:{port}\r\n"),
        format!("host: localhost:{other_port}\r\n"),
        "host: localhost\r\n".to_owned(),
        "host: \r\n".to_owned(),
        format!("host: localhost:{port}\r\nhost: localhost:{port}\r\n"),
        String::new(),
    ] {
        assert_eq!(ask(&other), 421, "{other:?}");
    }
    let whole = |target: &str| {
        let text = format!(
            "GET http://{target}/api/v1/choices HTTP/1.1\r\nhost: localhost:{port}\r\nconnection: close\r\n\r\n"
        );
        status_of(&served.raw(text.as_bytes()))
    };
    assert_eq!(whole(&format!("localhost:{port}")), 200);
    assert_eq!(whole(&format!("rebound.example:{port}")), 421);
}

#[test]
fn law_page_is_used_by_its_own_pages_alone() {
    let served = Served::start(&[]);
    let own = format!("http://localhost:{}", served.port);
    let api = "/api/v1/choices";
    for allowed in [
        vec![],
        vec![("origin", own.as_str())],
        vec![("sec-fetch-site", "same-origin")],
        vec![("sec-fetch-site", "none")],
    ] {
        assert_eq!(with_headers(&served, "GET", api, &allowed).status, 200, "{allowed:?}");
    }
    let tls = format!("https://localhost:{}", served.port);
    for refused in [
        ("origin", "http://elsewhere.example"),
        ("origin", "null"),
        ("origin", "http://localhost"),
        ("origin", tls.as_str()),
        ("sec-fetch-site", "cross-site"),
        ("sec-fetch-site", "same-site"),
        ("sec-fetch-site", "anything"),
    ] {
        for (method, path) in [
            ("GET", api),
            ("POST", "/api/v1/survey"),
            ("DELETE", "/api/v1/estimates/1"),
            ("POST", "/"),
        ] {
            let answer = with_headers(&served, method, path, &[refused]);
            assert_eq!(answer.status, 403, "{method} {path} {refused:?}");
            assert_eq!(answer.json()["type"], "/api/v1/problems/forbidden");
        }
    }
    // A link to the page itself may stand anywhere.
    assert_eq!(with_headers(&served, "GET", "/", &[("sec-fetch-site", "cross-site")]).status, 200);
}

#[test]
fn law_page_tells_the_browser_what_not_to_do() {
    let served = Served::start(&[]);
    for path in ["/", "/api/v1/choices", "/nothing", "/api/v1/situation?step=99"] {
        let answer = served.get(path);
        let policy = answer.header("content-security-policy").unwrap();
        for part in [
            "default-src 'none'",
            "script-src 'self'",
            "style-src 'self'",
            "img-src 'self' data: blob:",
            "connect-src 'self'",
            "form-action 'self'",
            "frame-ancestors 'none'",
            "base-uri 'none'",
        ] {
            assert!(policy.contains(part), "{path}: {part}");
        }
        assert!(!policy.contains("unsafe"), "{policy}");
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
        assert_eq!(answer.header("referrer-policy"), Some("no-referrer"));
        assert_eq!(answer.header("cache-control"), Some("no-store"));
        assert_eq!(answer.header("server"), None);
        assert_eq!(answer.header("access-control-allow-origin"), None);
    }
}

/// Beyond the loopback nobody gets an answer without the token, which the address carries once and a cookie then.
#[test]
fn law_page_beyond_the_loopback_asks_for_its_token() {
    let served = Served::start(&["--listen", "0.0.0.0"]);
    let token = served.url.split("token=").nth(1).expect("the address carries a token").to_owned();
    assert!(token.len() == 32 && token.bytes().all(|b| b.is_ascii_hexdigit()), "{token}");
    for path in
        ["/", "/page.js", "/api/v1/choices", "/nothing", "/?token=", "/api/v1/choices?token=x"]
    {
        let answer = served.get(path);
        assert_eq!(answer.status, 401, "{path}");
        assert!(answer.header("set-cookie").is_none());
    }
    let mut wrong = token.clone();
    wrong.replace_range(31.., if token.ends_with('0') { "1" } else { "0" });
    assert_eq!(served.get(&format!("/?token={wrong}")).status, 401);
    let first = served.get(&format!("/?token={token}"));
    assert_eq!(first.status, 200);
    // The page that moves on by itself carries no token.
    let moves_on = String::from_utf8(first.body.clone()).unwrap();
    assert!(moves_on.contains("url=/\"") && !moves_on.contains(&token), "{moves_on}");
    let cookie = first.header("set-cookie").unwrap();
    for part in ["HttpOnly", "SameSite=Strict", "Path=/"] {
        assert!(cookie.contains(part), "{cookie}");
    }
    let pair = cookie.split(';').next().unwrap();
    assert!(pair.starts_with(&format!("loopcrest-{}=", served.port)), "{pair}");
    let with_cookie = [("cookie", pair)];
    assert_eq!(with_headers(&served, "GET", "/", &with_cookie).status, 200);
    assert_eq!(with_headers(&served, "GET", "/api/v1/choices", &with_cookie).status, 200);
    let bearer = format!("Bearer {token}");
    let with_bearer = [("authorization", bearer.as_str())];
    assert_eq!(with_headers(&served, "GET", "/api/v1/choices", &with_bearer).status, 200);
    for (name, value) in [
        ("cookie", pair.replace(&token, &wrong)),
        ("cookie", pair.to_ascii_uppercase()),
        ("cookie", format!("x{pair}")),
        ("authorization", format!("Bearer {wrong}")),
        ("authorization", token.clone()),
    ] {
        let answer = with_headers(&served, "GET", "/api/v1/choices", &[(name, &value)]);
        assert_eq!(answer.status, 401, "{name}: {value}");
    }
    // The cookie alone is not enough for another site's page.
    let foreign = [("cookie", pair), ("origin", "http://elsewhere.example")];
    assert_eq!(with_headers(&served, "GET", "/api/v1/choices", &foreign).status, 403);
    served.signal("TERM");
    let (status, said) = served.ended();
    assert!(status.success());
    assert!(said.contains("warning") && !said.contains(&token), "{said}");
}

/// Two servers never share a token.
#[test]
fn law_page_tokens_differ() {
    let (one, other) =
        (Served::start(&["--listen", "0.0.0.0"]), Served::start(&["--listen", "0.0.0.0"]));
    let token = |served: &Served| served.url.split("token=").nth(1).unwrap().to_owned();
    assert_ne!(token(&one), token(&other));
}
