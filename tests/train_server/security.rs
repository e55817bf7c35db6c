//! Who is let in: host, origin, token, paths, header tricks. A test for each line.

use crate::browser::{Browser, connect};
use crate::house::{EXERCISE, House};
use tokio_tungstenite::tungstenite::Error;
use twinplate_train::protocol::{Ask, PROTOCOL, Role, Tell};

const BODY: &str = r#"{"exercise":"plain-cycle","trainee":"Ana"}"#;

#[tokio::test]
async fn a_host_that_is_not_ours_is_refused_everywhere() {
    let house = House::open().await;
    let port = house.address.port();
    for host in [
        format!("training.example.invalid:{port}"),
        "127.0.0.1".to_owned(),
        format!("127.0.0.1:{}", port ^ 1),
        format!("127.0.0.1:{port}.example.invalid"),
        format!("192.0.2.1:{port}"),
    ] {
        for path in ["/", "/api/exercises", "/ws/abc", "/assets/none.js"] {
            let answer = house
                .ask(&format!("GET {path}"), &[("host", &host)], "")
                .await;
            assert!(
                answer.status == 403 || answer.status == 400,
                "{host} {path}: {answer:?}"
            );
            assert!(!answer.body.contains(&house.token));
        }
    }
    house.close().await;
}

#[tokio::test]
async fn a_post_from_another_origin_is_refused() {
    let house = House::open().await;
    let host = house.host();
    let port = house.address.port();
    for origin in [
        None,
        Some("null".to_owned()),
        Some("http://example.invalid".to_owned()),
        Some(format!("https://{host}")),
        Some(format!("http://localhost:{port}")),
        Some(format!("http://{host}.example.invalid")),
    ] {
        let mut headers = vec![
            ("host", host.as_str()),
            ("x-twinplate-token", &house.token),
            ("content-type", "application/json"),
        ];
        headers.extend(origin.as_deref().map(|origin| ("origin", origin)));
        let answer = house.ask("POST /api/stations", &headers, BODY).await;
        assert_eq!(answer.status, 403, "{origin:?}: {answer:?}");
    }
    assert!(house.floor.list().is_empty());
    house.close().await;
}

#[tokio::test]
async fn a_socket_from_another_origin_is_refused() {
    let house = House::open().await;
    let station = house.station(EXERCISE, "Ana").await;
    for origin in [None, Some("null"), Some("http://example.invalid")] {
        match connect(&house, &station, origin).await {
            Err(Error::Http(answer)) => assert_eq!(answer.status(), 403, "{origin:?}"),
            other => panic!("{origin:?}: {other:?}"),
        }
    }
    house.close().await;
}

#[tokio::test]
async fn without_the_token_nothing_acts_and_no_record_is_shown() {
    let house = House::open().await;
    house.station(EXERCISE, "Ana").await;
    let (host, origin) = (house.host(), house.origin());
    for token in [None, Some(""), Some("guess"), Some(&house.token[1..])] {
        let mut headers = vec![
            ("host", host.as_str()),
            ("origin", &origin),
            ("content-type", "application/json"),
        ];
        headers.extend(token.map(|token| ("x-twinplate-token", token)));
        for line in [
            "POST /api/stations",
            "GET /api/stations",
            "GET /api/class",
            "POST /api/class/rule",
            "GET /api/exercises/form",
            "GET /api/exercises/plain-cycle/text",
            "POST /api/exercises/check",
            "POST /api/exercises/keep",
            "GET /api/attempts",
            "GET /api/attempts/1",
            "GET /api/attempts.csv",
            "GET /api/acts.csv",
        ] {
            let body = if line.starts_with("POST") { BODY } else { "" };
            let answer = house.ask(line, &headers, body).await;
            assert_eq!(answer.status, 401, "{line} {token:?}: {answer:?}");
            assert!(!answer.body.contains("Ana"), "{answer:?}");
        }
    }
    assert_eq!(house.floor.list().len(), 1);
    house.close().await;
}

/// A debrief is told to who was at its station, and to instructors; others do not hear whether there is one.
#[tokio::test]
async fn a_debrief_is_for_who_was_there_and_for_instructors() {
    let house = House::open().await;
    let [anas, bens] = [
        house.station(EXERCISE, "Ana").await,
        house.station(EXERCISE, "Ben").await,
    ];
    let host = house.host();
    for (token, path, status) in [
        (&house.token, format!("/api/attempts/1?station={anas}"), 200),
        (&house.token, format!("/api/attempts/1?station={bens}"), 403),
        (&house.token, "/api/attempts/1?station=".into(), 403),
        (&house.token, "/api/attempts/1".into(), 403),
        (&house.token, "/api/attempts/999".into(), 403),
        (&house.token, "/api/attempts/1?seat=x".into(), 400),
        (&house.instructor, "/api/attempts/1".into(), 200),
        (
            &house.instructor,
            format!("/api/attempts/1?station={bens}"),
            200,
        ),
        (&house.instructor, "/api/attempts/999".into(), 404),
    ] {
        let headers = [("host", host.as_str()), ("x-twinplate-token", token)];
        let answer = house.ask(&format!("GET {path}"), &headers, "").await;
        assert_eq!(answer.status, status, "{path}: {answer:?}");
        assert_eq!(answer.body.contains("Ana"), status == 200, "{answer:?}");
        assert_eq!(
            answer.body.contains("\"not-there\""),
            status == 403,
            "{answer:?}"
        );
    }
    house.close().await;
}

/// The records are personal data, and a trainee who makes faults or takes a machine back in time is no trainee.
#[tokio::test]
async fn what_is_an_instructors_needs_an_instructors_token() {
    let house = House::open().await;
    let station = house.station(EXERCISE, "Ana").await;
    let host = house.host();
    for (path, status) in [
        ("/api/stations", 200),
        ("/api/attempts", 403),
        ("/api/class", 403),
        ("/api/exercises/form", 403),
        ("/api/attempts.csv", 403),
        ("/api/acts.csv", 403),
    ] {
        let headers = [("host", host.as_str()), ("x-twinplate-token", &house.token)];
        let answer = house.ask(&format!("GET {path}"), &headers, "").await;
        assert_eq!(answer.status, status, "{path}: {answer:?}");
        assert_eq!(answer.body.contains("\"instructor\""), status == 403);
        assert_eq!(house.get(path).await.status, 200, "{path}");
    }
    let mut browser = Browser::silent(&house, &station).await;
    browser
        .say(Ask::Join {
            protocol: PROTOCOL,
            role: Role::Instructor,
            token: house.token.clone(),
            seat: None,
            seen: 0,
        })
        .await;
    match browser.next().await {
        Tell::Closing { code, .. } => assert_eq!(code, "instructor"),
        other => panic!("{other:?}"),
    }
    house.close().await;
}

#[tokio::test]
async fn a_join_with_a_wrong_token_hears_nothing_of_the_station() {
    let house = House::open().await;
    let station = house.station(EXERCISE, "Ana").await;
    for token in ["", "guess", &house.token[1..]] {
        let mut browser = Browser::silent(&house, &station).await;
        browser
            .say(Ask::Join {
                protocol: PROTOCOL,
                role: Role::Operator,
                token: token.to_owned(),
                seat: None,
                seen: 0,
            })
            .await;
        match browser.next().await {
            Tell::Closing { code, .. } => assert_eq!(code, "token"),
            other => panic!("{other:?}"),
        }
        assert_eq!(browser.farewell().await, None);
    }
    assert_eq!(house.inside(&station).summary().present, 0);
    house.close().await;
}

#[tokio::test]
async fn on_another_address_a_page_is_served_with_the_token_only() {
    let house = House::open_on("0.0.0.0:0").await;
    let host = house.host();
    let headers = [("host", host.as_str())];
    for page in ["/", "/instructor", "/class", "/exercises", "/debrief/1"] {
        for query in ["", "?token=", "?token=guess", "?other=1"] {
            let answer = house.ask(&format!("GET {page}{query}"), &headers, "").await;
            assert_eq!(answer.status, 401, "{page}{query}");
            assert!(!answer.body.contains(&house.token));
        }
        let with = |token: &str| format!("GET {page}?token={token}");
        let answer = house.ask(&with(&house.instructor), &headers, "").await;
        assert_eq!(answer.status, 200, "{page}: {answer:?}");
        let mine = ["/instructor", "/class", "/exercises"].contains(&page);
        assert_eq!(answer.body.contains(&house.instructor), mine, "{page}");
        assert_eq!(answer.body.contains(&house.token), !mine, "{page}");
        // The class sees what is the class's.
        let answer = house.ask(&with(&house.token), &headers, "").await;
        assert_eq!(answer.status, if mine { 403 } else { 200 }, "{page}");
        assert!(!answer.body.contains(&house.instructor), "{page}");
    }
    house.close().await;
}

#[tokio::test]
async fn paths_that_climb_lead_nowhere() {
    let house = House::open().await;
    for path in [
        "/assets/../Cargo.toml",
        "/assets/..%2fCargo.toml",
        "/assets/..%2f..%2f..%2fetc%2fpasswd",
        "/assets/%2e%2e/%2e%2e/Cargo.toml",
        "/assets/..\\Cargo.toml",
        "/assets//etc/passwd",
        "/assets/%00",
        "/assets/",
        "/assets",
        "/../Cargo.toml",
        "//etc/passwd",
        "/assets/index.html",
        "/debrief/../Cargo.toml",
        "/debrief/..%2f..",
        "/debrief/x",
        "/debrief/-1",
        "/api/attempts/..%2f1",
        "/api/attempts/1%20or%201=1",
        "/api/attempts/%ff",
        "/api/nothing",
    ] {
        let answer = house.get(path).await;
        assert!(
            (400..500).contains(&answer.status),
            "{path}: {}",
            answer.status
        );
        assert!(!answer.body.contains("[workspace]"), "{path}");
        assert!(!answer.body.contains("root:"), "{path}");
    }
    house.close().await;
}

#[tokio::test]
async fn tricks_with_headers_are_refused() {
    let house = House::open().await;
    let host = house.host();
    let token = house.token.clone();
    let post = "POST /api/stations HTTP/1.1\r\nconnection: close\r\n";
    let common = format!(
        "host: {host}\r\norigin: http://{host}\r\nx-twinplate-token: {token}\r\ncontent-type: application/json\r\n"
    );
    let length = BODY.len();
    let long = "a".repeat(1 << 20);
    let huge = format!(
        r#"{{"exercise":"plain-cycle","trainee":"{}"}}"#,
        "a".repeat(8000)
    );
    let huge_length = huge.len();
    let more = BODY.replace('}', r#","admin":1}"#);
    let requests = [
        (
            "no host",
            "GET / HTTP/1.1\r\nconnection: close\r\n\r\n".to_owned(),
        ),
        (
            "two hosts",
            format!("GET / HTTP/1.1\r\nhost: {host}\r\nhost: {host}\r\nconnection: close\r\n\r\n"),
        ),
        (
            "another host in the line",
            format!(
                "GET http://example.invalid/ HTTP/1.1\r\nhost: {host}\r\nconnection: close\r\n\r\n"
            ),
        ),
        (
            "a host passed on",
            format!(
                "GET / HTTP/1.1\r\nhost: example.invalid\r\nx-forwarded-host: {host}\r\nforwarded: host={host}\r\nconnection: close\r\n\r\n"
            ),
        ),
        (
            "a name before the host",
            format!("GET / HTTP/1.1\r\nhost: {host}@example.invalid\r\nconnection: close\r\n\r\n"),
        ),
        (
            "a bare line end in a host",
            format!("GET / HTTP/1.1\r\nhost: {host}\n x\r\nconnection: close\r\n\r\n"),
        ),
        (
            "two origins",
            format!(
                "{post}{common}origin: http://example.invalid\r\ncontent-length: {length}\r\n\r\n{BODY}"
            ),
        ),
        (
            "two tokens",
            format!(
                "{post}{common}x-twinplate-token: guess\r\ncontent-length: {length}\r\n\r\n{BODY}"
            ),
        ),
        (
            "two lengths",
            format!("{post}{common}content-length: {length}\r\ncontent-length: 1\r\n\r\n{BODY}"),
        ),
        (
            "no number as length",
            format!("{post}{common}content-length: -1\r\n\r\n{BODY}"),
        ),
        (
            "a body that is a form",
            format!(
                "{post}{}content-length: {length}\r\n\r\n{BODY}",
                common.replace("application/json", "text/plain")
            ),
        ),
        (
            "a body too long",
            format!("{post}{common}content-length: {huge_length}\r\n\r\n{huge}"),
        ),
        (
            "a body that is no JSON",
            format!("{post}{common}content-length: 3\r\n\r\n{{x}}"),
        ),
        (
            "a key too many",
            format!("{post}{common}content-length: {}\r\n\r\n{more}", more.len()),
        ),
        (
            "another method",
            format!("DELETE /api/stations HTTP/1.1\r\nconnection: close\r\n{common}\r\n"),
        ),
        (
            "a method passed on",
            format!(
                "{}{common}x-http-method-override: GET\r\n\r\n",
                post.replace("/api/stations", "/api/attempts")
            ),
        ),
        (
            "a header too long",
            format!(
                "GET / HTTP/1.1\r\nhost: {host}\r\nx-long: {long}\r\nconnection: close\r\n\r\n"
            ),
        ),
        ("no HTTP", "hello\r\n\r\n".to_owned()),
        (
            "a socket without a key",
            format!(
                "GET /ws/abc HTTP/1.1\r\nhost: {host}\r\norigin: http://{host}\r\nupgrade: websocket\r\nconnection: upgrade, close\r\nsec-websocket-version: 13\r\n\r\n"
            ),
        ),
        (
            "a socket that is none",
            format!(
                "GET /ws/abc HTTP/1.1\r\nhost: {host}\r\norigin: http://{host}\r\nconnection: close\r\n\r\n"
            ),
        ),
    ];
    for (what, request) in requests {
        println!("{what}");
        let answer = house.raw(request.as_bytes()).await;
        assert!((400..500).contains(&answer.status), "{answer:?}");
        assert!(!answer.body.contains(&token), "{answer:?}");
    }
    assert!(house.floor.list().is_empty());

    // The same request without a trick is taken.
    let fair = format!("{post}{common}content-length: {length}\r\n\r\n{BODY}");
    assert_eq!(house.raw(fair.as_bytes()).await.status, 200);
    assert_eq!(house.floor.list().len(), 1);
    house.close().await;
}

#[tokio::test]
async fn a_body_with_both_lengths_opens_one_station_at_most_and_is_no_second_request() {
    let house = House::open().await;
    let host = house.host();
    let smuggled = format!("GET / HTTP/1.1\r\nhost: {host}\r\n\r\n");
    let request = format!(
        "POST /api/stations HTTP/1.1\r\nhost: {host}\r\norigin: http://{host}\r\nx-twinplate-token: {}\r\ncontent-type: application/json\r\n\
         connection: close\r\ncontent-length: {}\r\ntransfer-encoding: chunked\r\n\r\n0\r\n\r\n{smuggled}",
        house.token,
        smuggled.len() + 5
    );
    let answer = house.raw(request.as_bytes()).await;
    assert!((400..500).contains(&answer.status), "{answer:?}");
    assert_eq!(answer.body.matches("HTTP/1.1").count(), 0, "{answer:?}");
    house.close().await;
}

#[tokio::test]
async fn every_answer_tells_the_browser_to_be_careful() {
    let house = House::open().await;
    for path in [
        "/",
        "/instructor",
        "/api/exercises",
        "/assets/none",
        "/debrief/1",
    ] {
        let answer = house.get(path).await;
        let policy = answer.header("content-security-policy").unwrap_or_default();
        assert!(
            policy.starts_with("default-src 'self';"),
            "{path}: {policy}"
        );
        assert!(!policy.contains("unsafe"), "{path}: {policy}");
        assert!(policy.contains("frame-ancestors 'none'"), "{path}");
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
        assert_eq!(answer.header("referrer-policy"), Some("no-referrer"));
        assert_eq!(answer.header("cache-control"), Some("no-store"));
        assert_eq!(answer.header("access-control-allow-origin"), None);
    }
    let refused = house.ask("GET /", &[("host", "example.invalid")], "").await;
    assert!(refused.header("content-security-policy").is_some());
    house.close().await;
}
