//! What people write stays text: in pages, pictures, tables and the database. And a request is read
//! in one way only.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::Duration;

use reqwest::Method;
use serde_json::{Value, json};
use tests::{Server, demo};

use super::board::{open, signed_in};

const BOARD: &str = "/board/harbour-bar";

/// Ends an attribute, an element and a title, and would run if it were not text.
const HOSTILE: &str = "\" autofocus onfocus='a()'></title><script>alert(7)</script>{{7191*7}}";

/// What must be in no page: it has been read as markup.
const READ: [&str; 4] = ["<script>alert", "\" autofocus", "</title><script", "50337"];

const PAGES: [&str; 15] = [
    "today",
    "plans",
    "ready",
    "commitments",
    "demand",
    "stock",
    "setup",
    "setup/pots",
    "setup/products",
    "setup/kegs",
    "calculators",
    "calculators/carbonation/pressure",
    "calculators/heating/time",
    "sheets",
    "admin",
];

/// Gives everything that has a name a hostile one beside it.
fn spoil(value: &mut Value) {
    match value {
        Value::Object(fields) => {
            for (field, value) in fields {
                match value {
                    Value::String(text) if field == "name" => text.push_str(HOSTILE),
                    other => spoil(other),
                }
            }
        }
        Value::Array(items) => items.iter_mut().for_each(spoil),
        _ => {}
    }
}

/// The demo's week with hostile names throughout, planned and published.
fn spoiled() -> Server {
    let server = demo::fixed_week();
    let mut scenario = demo::scenario();
    spoil(&mut scenario);
    let _ = server.put_if(demo::SITE, "*", &scenario["site"]).ok();
    let setup = demo::setup_of(&scenario);
    let _ = server
        .put_if(&format!("{}/setup", demo::SITE), "*", &setup)
        .ok();
    let mut line = scenario["demand"][0].clone();
    let path = format!("{}/demand/{}", demo::SITE, line["id"].as_str().unwrap());
    line.as_object_mut().unwrap().remove("id");
    line["note"] = json!(HOSTILE);
    assert_eq!(server.put(&path, &line).status, 200);
    let key = json!({ "name": HOSTILE, "scopes": ["read"] });
    let _ = server.post("/v1/keys", &key).expect(201);
    let feed = json!({ "note": HOSTILE });
    let _ = server
        .post(&format!("{}/calendars", demo::SITE), &feed)
        .expect(201);
    server
}

/// Has two days planned and published; the plan's path.
fn published(server: &Server) -> String {
    let mut days = demo::week();
    days["days"] = json!(2);
    let reply = server.post(&format!("{}/plans", demo::SITE), &days);
    let _ = reply.expect(202);
    let path = reply.header("location").to_owned();
    let plan = server.poll(&path, demo::ended);
    assert_eq!(plan["state"], "done", "{plan}");
    let _ = server.post(&format!("{path}/publish"), &json!({})).ok();
    path
}

#[test]
fn what_people_write_is_text_wherever_it_is_shown() {
    let server = spoiled();
    let plan = published(&server);
    let id = plan.rsplit('/').next().unwrap();
    let cookie = signed_in(&server, "admin");
    let shown = |path: &str| {
        let reply = open(&server, &cookie, path);
        assert_eq!(reply.status, 200, "{path}: {}", reply.text);
        let kind = reply.header("content-type");
        assert!(kind.ends_with("charset=utf-8"), "{path}: {kind}");
        for barred in READ {
            assert!(!reply.text.contains(barred), "{path} has {barred}");
        }
        reply.text
    };
    let week = format!("plans/{id}/week");
    for page in PAGES.iter().chain([&week.as_str()]) {
        let text = shown(&format!("{BOARD}/{page}"));
        assert!(text.contains("autofocus"), "{page} does not name the site");
    }
    let picture = shown(&format!("{BOARD}/plans/{id}/week.svg"));
    assert!(picture.contains("autofocus"), "no name is in the picture");
    let day = "2026-06-02";
    let sheet = shown(&format!("{}/sheet?date={day}", demo::SITE));
    assert!(sheet.contains("autofocus"), "no name is on the sheet");
    let materials = server.get(&format!("{}/materials.csv", demo::SITE));
    assert_eq!(
        materials.header("content-disposition"),
        "attachment; filename=\"materials.csv\""
    );
}

#[test]
fn each_page_has_a_way_out() {
    let server = demo::fixed_week();
    let cookie = signed_in(&server, "admin");
    for page in PAGES {
        let text = open(&server, &cookie, &format!("{BOARD}/{page}")).text;
        assert!(text.contains("action=\"/board/sign-out\""), "{page}");
    }
}

#[test]
fn quotes_and_statements_are_text_to_the_database() {
    let server = demo::fixed_week();
    let odd = "'; DROP TABLE demand; -- \" $1 ? %' OR '1'='1";
    let path = format!("{}/demand/odd", demo::SITE);
    let line = json!({ "product": "tonic", "due": "2026-06-05T17:00:00+01:00", "litres": 5.0,
        "priority": 3, "kind": "booking", "note": odd });
    let lines = |server: &Server| {
        let list = server.get(&format!("{}/demand", demo::SITE)).ok();
        list["demand"].as_array().unwrap().len()
    };
    let before = lines(&server);
    assert_eq!(server.put(&path, &line).expect(201)["note"], odd);
    assert_eq!(server.get(&path).ok()["note"], odd);
    assert_eq!(lines(&server), before + 1);
    let made = server.post("/v1/keys", &json!({ "name": odd, "scopes": ["read"] }));
    assert_eq!(made.expect(201)["name"], odd);
    let sign_in = json!({ "name": odd, "password": "' OR '1'='1' -- " });
    let reply = server.send(server.stranger(Method::POST, "/v1/session").json(&sign_in));
    let _ = reply.problem(401, "bad_sign_in");
    for query in ["site='%20OR%20'1'='1", "after=0;DROP%20TABLE%20events"] {
        let reply = server.get(&format!("/v1/events?{query}"));
        let _ = reply.problem(400, "bad_query");
    }
}

#[test]
fn methods_nobody_asked_for_are_refused() {
    let server = Server::empty();
    for method in ["TRACE", "TRACK", "PROPFIND", "get", "BREW"] {
        for path in ["/v1/sites", "/healthz", "/docs/"] {
            let method = Method::from_bytes(method.as_bytes()).unwrap();
            let request = server.request(method.clone(), path);
            let reply = server.send(request.header("X-Marked", "by-the-caller"));
            assert_eq!(reply.status, 405, "{method} {path}: {}", reply.text);
            assert!(!reply.text.contains("by-the-caller"), "{}", reply.text);
        }
    }
}

/// Sends a message as it stands, and reads all that is answered until the connection ends.
fn raw(server: &Server, message: &str) -> String {
    let address = server.root().trim_start_matches("http://");
    let mut stream = TcpStream::connect(address).unwrap();
    stream
        .set_read_timeout(Some(Duration::from_secs(60)))
        .unwrap();
    stream.write_all(message.as_bytes()).unwrap();
    let mut answer = String::new();
    // A connection that is reset after its answer has been told all the same.
    let _ = stream.read_to_string(&mut answer);
    answer
}

#[test]
fn a_message_with_two_ends_is_refused() {
    let server = Server::empty();
    let body = "{\"target_g_per_l\": 7.9, \"temperature_c\": 2}";
    let ask = |headers: &str, body: &str| {
        let key = server.key();
        raw(
            &server,
            &format!(
                "POST /v1/calculations/carbonation/pressure HTTP/1.1\r\nHost: x\r\n\
                 Authorization: Bearer {key}\r\nContent-Type: application/json\r\n\
                 Connection: close\r\n{headers}\r\n\r\n{body}"
            ),
        )
    };
    let length = body.len();
    let good = ask(&format!("Content-Length: {length}"), body);
    assert!(good.starts_with("HTTP/1.1 200"), "{good}");
    for headers in [
        format!("Content-Length: {length}\r\nContent-Length: 5"),
        format!("Content-Length: +{length}"),
        format!("Content-Length: {length}, {length}"),
        "Transfer-Encoding: xchunked".to_owned(),
        "Transfer-Encoding: chunked\r\nTransfer-Encoding: identity".to_owned(),
        "Transfer-Encoding: chunked, identity".to_owned(),
    ] {
        let answer = ask(&headers, body);
        assert!(answer.starts_with("HTTP/1.1 400"), "{headers}: {answer}");
        assert_eq!(answer.matches("HTTP/1.1 ").count(), 1, "{headers}");
    }
    // RFC 9112, section 6.1: where both stand, somebody may be smuggling.
    let chunks = format!("{length:x}\r\n{body}\r\n0\r\n\r\n");
    let whole = ask("Transfer-Encoding: chunked", &chunks);
    assert!(whole.starts_with("HTTP/1.1 200"), "{whole}");
    let both = ask("Content-Length: 4\r\nTransfer-Encoding: chunked", &chunks);
    assert!(both.starts_with("HTTP/1.1 400"), "{both}");
    assert_eq!(both.matches("HTTP/1.1 ").count(), 1, "{both}");
    let broken = ask("Transfer-Encoding: chunked", "zz\r\n{}\r\n0\r\n\r\n");
    assert!(broken.starts_with("HTTP/1.1 400"), "{broken}");
}
