//! People's own sessions and passwords.

use reqwest::Method;
use serde_json::{Value, json};
use tests::{Reply, Server};

const PASSWORD: &str = "four words, well chosen";

/// Somebody who is signed in.
struct SignedIn {
    cookie: String,
    csrf: String,
}

impl SignedIn {
    fn of(reply: &Reply) -> Self {
        let cookie = reply.header("set-cookie").split(';').next().unwrap();
        Self {
            cookie: cookie.to_owned(),
            csrf: reply.ok()["csrf_token"].as_str().unwrap().to_owned(),
        }
    }

    fn get(&self, server: &Server, path: &str) -> Reply {
        let asked = server.stranger(Method::GET, path);
        server.send(asked.header("Cookie", &self.cookie))
    }

    fn post(&self, server: &Server, path: &str, body: &Value) -> Reply {
        let asked = server.stranger(Method::POST, path).json(body);
        let asked = asked.header("Cookie", &self.cookie);
        server.send(asked.header("X-CSRF-Token", &self.csrf))
    }
}

fn ines(server: &Server) {
    let body = json!({ "name": "Ines", "password": PASSWORD, "scopes": ["plan"] });
    let _ = server.post("/v1/people", &body).expect(201);
}

fn sign_in(server: &Server, cookie: &str, password: &str) -> Reply {
    let body = json!({ "name": "Ines", "password": password });
    let asked = server.stranger(Method::POST, "/v1/session").json(&body);
    server.send(
        asked
            .header("Cookie", cookie)
            .header("User-Agent", "a tablet"),
    )
}

#[test]
fn a_new_sign_in_ends_the_session_the_browser_had() {
    let server = Server::empty();
    ines(&server);
    let first = SignedIn::of(&sign_in(&server, "a=b", PASSWORD));
    let elsewhere = SignedIn::of(&sign_in(&server, "a=b", PASSWORD));
    let second = SignedIn::of(&sign_in(&server, &first.cookie, PASSWORD));
    let _ = first
        .get(&server, "/v1/session")
        .problem(401, "unauthenticated");
    let _ = second.get(&server, "/v1/session").ok();
    let _ = elsewhere.get(&server, "/v1/session").ok();
}

#[test]
fn a_person_sees_their_sessions_and_ends_the_others() {
    let server = Server::empty();
    ines(&server);
    let here = SignedIn::of(&sign_in(&server, "a=b", PASSWORD));
    let tablet = SignedIn::of(&sign_in(&server, "a=b", PASSWORD));
    let phone = SignedIn::of(&sign_in(&server, "a=b", PASSWORD));
    let listed = here.get(&server, "/v1/session/all").ok();
    let sessions = listed["sessions"].as_array().unwrap();
    assert_eq!(sessions.len(), 3);
    let current: Vec<&Value> = sessions
        .iter()
        .filter(|one| one["current"] == true)
        .collect();
    assert_eq!(current.len(), 1);
    for one in sessions {
        assert_eq!(
            (&one["agent"], &one["address"]),
            (&json!("a tablet"), &json!("127.0.0.1"))
        );
        assert!(one["seen_at"].is_string() && one["begun_at"].is_string());
    }
    let theirs = tablet.get(&server, "/v1/session/all").ok();
    let mut of_tablet = theirs["sessions"].as_array().unwrap().iter();
    let of_tablet = of_tablet.find(|one| one["current"] == true).unwrap()["id"].clone();
    let end = "/v1/session/all/end";
    let wrong = json!({ "password": "some other words" });
    let _ = here.post(&server, end, &wrong).problem(422, "invalid");
    let one = json!({ "password": PASSWORD, "session": of_tablet });
    let left = here.post(&server, end, &one).ok();
    assert_eq!(left["sessions"].as_array().unwrap().len(), 2);
    let _ = tablet
        .get(&server, "/v1/session")
        .problem(401, "unauthenticated");
    let _ = phone.get(&server, "/v1/session").ok();
    let left = here
        .post(&server, end, &json!({ "password": PASSWORD }))
        .ok();
    assert_eq!(left["sessions"].as_array().unwrap().len(), 1);
    let _ = phone
        .get(&server, "/v1/session")
        .problem(401, "unauthenticated");
    let _ = here.get(&server, "/v1/session").ok();
    // A key has no sessions and no password.
    let none = server.get("/v1/session/all").ok();
    assert_eq!(none, json!({ "sessions": [] }));
    let _ = server.post(end, &wrong).problem(403, "forbidden");
    // Another site can make the browser send the cookie, but not the token.
    let forged = server.stranger(Method::POST, end).json(&wrong);
    let forged = server.send(forged.header("Cookie", &here.cookie));
    let _ = forged.problem(403, "csrf_required");
}

#[test]
fn a_person_changes_their_own_password_and_every_other_session_ends() {
    let server = Server::empty();
    ines(&server);
    let here = SignedIn::of(&sign_in(&server, "a=b", PASSWORD));
    let elsewhere = SignedIn::of(&sign_in(&server, "a=b", PASSWORD));
    let path = "/v1/session/password";
    let change = |password: &str, new: &str| json!({ "password": password, "new_password": new });
    let refused = |body: Value, field: &str| {
        let problem = here.post(&server, path, &body).problem(422, "invalid");
        assert_eq!(problem["errors"][0]["field"], field, "{problem}");
    };
    refused(
        change("some other words", "four others, as good"),
        "password",
    );
    refused(change(PASSWORD, PASSWORD), "new_password");
    refused(change(PASSWORD, "short"), "new_password");
    refused(change(PASSWORD, "password123"), "new_password");
    refused(change(PASSWORD, "ines-ines-ines"), "new_password");
    let changed = here.post(&server, path, &change(PASSWORD, "four others, as good"));
    let next = SignedIn::of(&changed);
    let _ = next.get(&server, "/v1/session").ok();
    for gone in [&here, &elsewhere] {
        let _ = gone
            .get(&server, "/v1/session")
            .problem(401, "unauthenticated");
    }
    let _ = sign_in(&server, "a=b", PASSWORD).problem(401, "bad_sign_in");
    let _ = sign_in(&server, "a=b", "four others, as good").ok();
    let trail = server.get("/v1/audit").ok();
    let entries = trail["entries"].as_array().unwrap();
    let told = |operation: &str| entries.iter().any(|entry| entry["operation"] == operation);
    assert!(told("change_own_password"), "{trail}");
}

#[test]
fn the_commonest_passwords_are_refused_when_they_are_set() {
    let server = Server::empty();
    let add = |password: &str| {
        let body = json!({ "name": "Ida", "password": password, "scopes": ["read"] });
        server.post("/v1/people", &body)
    };
    for password in ["qwertyuiop", "Password123", "1212121212", "ida.fizzwright"] {
        let problem = add(password).problem(422, "invalid");
        assert_eq!(problem["errors"][0]["field"], "password");
    }
    let _ = add("tonic at noon").expect(201);
}

#[test]
fn behind_tls_the_cookies_are_of_this_host_alone() {
    let server = Server::start(&["--secure-cookies"]);
    ines(&server);
    let reply = sign_in(&server, "a=b", PASSWORD);
    let set: Vec<&str> = reply
        .headers
        .get_all("set-cookie")
        .iter()
        .map(|cookie| cookie.to_str().unwrap())
        .collect();
    assert_eq!(set.len(), 2);
    for cookie in &set {
        assert!(cookie.starts_with("__Host-"), "{cookie}");
        for part in ["; Secure", "; HttpOnly", "; SameSite=Lax", "; Path=/"] {
            assert!(cookie.contains(part), "{cookie}");
        }
        assert!(!cookie.contains("Domain"), "{cookie}");
    }
    let here = SignedIn::of(&reply);
    let _ = here.get(&server, "/v1/session").ok();
    // A cookie that anybody below the same domain could have set is not looked at.
    let planted = SignedIn {
        cookie: here.cookie.replace("__Host-", ""),
        csrf: here.csrf.clone(),
    };
    let _ = planted
        .get(&server, "/v1/session")
        .problem(401, "unauthenticated");
}

#[test]
fn the_board_has_a_page_for_ones_own_account() {
    let server = Server::empty();
    ines(&server);
    let here = SignedIn::of(&sign_in(&server, "a=b", PASSWORD));
    let elsewhere = SignedIn::of(&sign_in(&server, "a=b", PASSWORD));
    let account = "/board/sign-in/account";
    let page = here.get(&server, account);
    assert_eq!(page.status, 200, "{}", page.text);
    assert!(
        page.text.contains("a tablet") && page.text.contains("here"),
        "{}",
        page.text
    );
    let send = |who: &SignedIn, path: &str, fields: &[(&str, &str)]| {
        let mut all = vec![("csrf", who.csrf.as_str())];
        all.extend(fields);
        let form = reqwest::Url::parse_with_params("http://form/", all).unwrap();
        let asked = server
            .stranger(Method::POST, &format!("{account}{path}"))
            .header("Cookie", &who.cookie)
            .header("Content-Type", "application/x-www-form-urlencoded")
            .body(form.query().unwrap().to_owned());
        server.send(asked)
    };
    let wrong = send(&here, "/sessions", &[("password", "some other words")]);
    assert_eq!(wrong.status, 422, "{}", wrong.text);
    assert!(wrong.text.contains("not your password"), "{}", wrong.text);
    let _ = elsewhere.get(&server, "/v1/session").ok();
    let ended = send(&here, "/sessions", &[("password", PASSWORD)]);
    assert_eq!(ended.status, 200, "{}", ended.text);
    let _ = elsewhere
        .get(&server, "/v1/session")
        .problem(401, "unauthenticated");
    let new = [
        ("password", PASSWORD),
        ("new_password", "four others, as good"),
    ];
    let changed = send(&here, "/password", &new);
    assert_eq!((changed.status, changed.header("location")), (303, account));
    let _ = here
        .get(&server, "/v1/session")
        .problem(401, "unauthenticated");
    let _ = sign_in(&server, "a=b", "four others, as good").ok();
}
