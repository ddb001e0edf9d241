//! Browsers: what another site can make them do, what they keep, and what is told of who asked.

use chrono::{DateTime, Duration, Utc};
use reqwest::Method;
use serde_json::{Value, json};
use tests::{Reply, Server, demo};

use super::board::{csrf, open, send, signed_in};

const PASSWORD: &str = "four words, well chosen";

/// A form to sign in, as a browser sends it from a page of such a site.
fn form(server: &Server, from: Option<&str>) -> Reply {
    let request = server
        .stranger(Method::POST, "/board/sign-in")
        .header("Content-Type", "application/x-www-form-urlencoded")
        .body(format!("name=Ines&password={}", PASSWORD.replace(' ', "+")));
    server.send(match from {
        Some(site) => request.header("Sec-Fetch-Site", site),
        None => request,
    })
}

fn ines(server: &Server) -> Value {
    let person = json!({ "name": "Ines", "password": PASSWORD, "scopes": ["plan"] });
    server.post("/v1/people", &person).expect(201)
}

#[test]
fn another_site_cannot_sign_a_browser_in() {
    let server = Server::empty();
    let _ = ines(&server);
    for site in ["cross-site", "same-site"] {
        let reply = form(&server, Some(site));
        assert_eq!(reply.status, 403, "{site}: {}", reply.text);
        assert!(reply.headers.get("set-cookie").is_none(), "{site}");
        assert!(reply.text.contains("another site"), "{}", reply.text);
    }
    for site in [Some("same-origin"), Some("none"), None] {
        assert_eq!(form(&server, site).status, 303, "{site:?}");
    }
}

#[test]
fn behind_tls_every_cookie_is_of_this_host_alone() {
    let server = Server::start(&["--secure-cookies"]);
    let cookie = signed_in(&server, "read");
    let _ = server
        .post("/v1/sites", &demo::scenario()["site"])
        .expect(201);
    let page = open(&server, &cookie, "/board/harbour-bar/today").text;
    let token = csrf(&page);
    let choice = [("csrf", token.as_str()), ("units", "us"), ("locale", "de")];
    let reply = send(&server, &cookie, "/board/units", &choice);
    assert_eq!(reply.status, 303, "{}", reply.text);
    let set = reply.headers.get_all("set-cookie");
    let set: Vec<&str> = set.iter().map(|value| value.to_str().unwrap()).collect();
    assert_eq!(set.len(), 2, "{set:?}");
    for cookie in &set {
        assert!(cookie.starts_with("__Host-"), "{cookie}");
        for part in ["Secure", "HttpOnly", "SameSite=Lax", "Path=/"] {
            let parts: Vec<&str> = cookie.split("; ").collect();
            assert!(parts.contains(&part), "{cookie}");
        }
    }
    // And they are read again under that name.
    let chosen = set[0].split(';').next().unwrap();
    let both = format!("{cookie}; {chosen}");
    let page = open(&server, &both, "/board/harbour-bar/today").text;
    assert!(page.contains("Show L, °C, bar"), "{page}");
}

#[test]
fn password_fields_are_masked_and_know_their_managers() {
    let server = demo::fixed_week();
    let cookie = signed_in(&server, "admin");
    for (page, wanted) in [
        ("/board/sign-in", "current-password"),
        ("/board/harbour-bar/admin", "new-password"),
    ] {
        let text = open(&server, &cookie, page).text;
        let fields = text.split("<input").filter(|field| {
            let field = field.split('>').next().unwrap();
            field.contains("password\"")
        });
        let mut seen = 0;
        for field in fields {
            let field = field.split('>').next().unwrap();
            assert!(field.contains("type=\"password\""), "{page}: {field}");
            assert!(field.contains("autocomplete=\""), "{page}: {field}");
            seen += usize::from(field.contains(wanted));
        }
        assert!(seen > 0, "{page} asks for no password");
    }
}

#[test]
fn a_long_sentence_is_a_password() {
    let server = Server::empty();
    // Nothing is cut off, folded or trimmed.
    let long = format!(
        "  {} Ünd noch ein Wort, größer als die anderen ",
        "ab c".repeat(30)
    );
    let person = json!({ "name": "Ines", "password": long, "scopes": ["read"] });
    let _ = server.post("/v1/people", &person).expect(201);
    let sign_in = |password: &str| {
        let body = json!({ "name": "Ines", "password": password });
        server.send(server.stranger(Method::POST, "/v1/session").json(&body))
    };
    for near in [long.trim(), &long[..long.len() - 1], &long.to_lowercase()] {
        let _ = sign_in(near).problem(401, "bad_sign_in");
    }
    assert_eq!(sign_in(&long).status, 200);
}

#[test]
fn the_demo_s_person_ends_after_a_week() {
    let server = Server::demo();
    let people = server.get("/v1/people").ok();
    let end = people["people"][0]["ends_at"].as_str().unwrap();
    let end: DateTime<Utc> = end.parse().unwrap();
    assert!(end > Utc::now() && end < Utc::now() + Duration::days(8));
}

#[test]
fn sessions_end_when_their_person_is_gone() {
    let server = Server::empty();
    let person = ines(&server);
    let cookie = form(&server, None);
    let cookie = cookie.header("set-cookie").split(';').next().unwrap();
    assert_eq!(open(&server, cookie, "/v1/session").status, 200);
    let path = format!("/v1/people/{}", person["id"].as_str().unwrap());
    assert_eq!(server.delete(&path).status, 204);
    let gone = open(&server, cookie, "/v1/session");
    let _ = gone.problem(401, "unauthenticated");
}

#[test]
fn somebody_limited_to_a_site_has_an_account_too() {
    let server = demo::fixed_week();
    let person = json!({ "name": "Ines", "password": PASSWORD, "scopes": ["read"],
        "sites": ["harbour-bar"] });
    let _ = server.post("/v1/people", &person).expect(201);
    let cookie = form(&server, None);
    let cookie = cookie.header("set-cookie").split(';').next().unwrap();
    let page = open(&server, cookie, "/board/sign-in/account");
    assert_eq!(page.status, 200, "{}", page.text);
    assert!(page.text.contains("Change your password"), "{}", page.text);
    assert!(
        page.text.contains("action=\"/board/sign-out\""),
        "{}",
        page.text
    );
}

#[test]
fn nothing_is_left_in_a_browser_after_signing_out() {
    let server = demo::fixed_week();
    let cookie = signed_in(&server, "admin");
    for path in [
        demo::SITE,
        "/v1/sites",
        "/v1/audit",
        "/v1/keys",
        "/board/harbour-bar/today",
        "/board/harbour-bar/admin",
    ] {
        let reply = open(&server, &cookie, path);
        assert_eq!(reply.status, 200, "{path}");
        let rule = reply.header("cache-control");
        assert!(rule.contains("no-store"), "{path}: {rule}");
    }
    let page = open(&server, &cookie, "/board/harbour-bar/today").text;
    let out = send(
        &server,
        &cookie,
        "/board/sign-out",
        &[("csrf", &csrf(&page))],
    );
    assert_eq!(
        (out.status, out.header("location")),
        (303, "/board/sign-in")
    );
    assert!(out.header("set-cookie").contains("Max-Age=0"));
}

#[test]
fn the_log_says_who_asked_and_from_where() {
    let (server, log) = Server::logging_everything();
    let person = ines(&server);
    let cookie = form(&server, None);
    let cookie = cookie.header("set-cookie").split(';').next().unwrap();
    assert_eq!(open(&server, cookie, "/v1/sites").status, 200);
    assert_eq!(server.get("/v1/sites").status, 200);
    // What is no plain word is not taken for the id of a request.
    let odd = server
        .stranger(Method::GET, "/v1/sites")
        .header("X-Request-Id", "a \"quoted\" one\tand more");
    assert_eq!(server.send(odd).status, 401);
    let text = std::fs::read_to_string(log).unwrap();
    let who = format!("person:{}", person["id"].as_str().unwrap());
    assert!(text.contains(&who), "{text}");
    assert!(
        text.contains("key:") && text.contains("127.0.0.1"),
        "{text}"
    );
    assert!(!text.contains("and more"), "{text}");
}
