//! Refusals of the protocol itself are problem documents too.

use reqwest::Method;
use serde_json::json;
use tests::{Server, demo};

#[test]
fn unknown_paths_and_things_are_not_found() {
    let server = Server::empty();
    let _ = server.get("/v1/nothing").problem(404, "unknown_path");
    let _ = server.get("/v1/sites/nowhere").problem(404, "unknown_site");
    let _ = server
        .get("/v1/sites/nowhere/demand")
        .problem(404, "unknown_site");
    let plan = "/v1/plans/01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d";
    let _ = server.get(plan).problem(404, "unknown_plan");
    let _ = server
        .get("/v1/problems/none")
        .problem(404, "unknown_problem");
}

#[test]
fn a_path_that_is_not_understood_is_a_bad_request() {
    let server = Server::empty();
    for path in ["/v1/sites/Harbour%20Bar", "/v1/plans/7", "/v1/plans/7/work"] {
        let problem = server.get(path).problem(400, "bad_path");
        assert!(problem["errors"][0]["field"].is_string(), "{problem}");
    }
}

#[test]
fn a_query_that_is_not_understood_is_a_bad_request() {
    let server = demo::fixed_week();
    let check = |query: &str, field: &str| {
        let problem = server
            .get(&format!("{}/{query}", demo::SITE))
            .problem(400, "bad_query");
        assert_eq!(problem["errors"][0]["field"], field, "{problem}");
    };
    check("demand?since=2026-06-01", "since");
    check("demand?from=yesterday", "from");
    check("plans?limit=many", "limit");
    check("plans?limit=0", "limit");
    check("plans?limit=501", "limit");
    check("stock/entries?after=-1", "after");
}

#[test]
fn a_wrong_method_says_which_are_right() {
    let server = Server::empty();
    let check = |method: Method, path: &str, allow: &str| {
        let reply = server.send(server.request(method, path));
        let _ = reply.problem(405, "method_not_allowed");
        assert_eq!(reply.header("allow"), allow);
    };
    check(Method::DELETE, "/v1/sites", "GET, HEAD, POST");
    check(
        Method::POST,
        "/v1/sites/harbour-bar/setup",
        "GET, HEAD, PUT, PATCH",
    );
    check(Method::POST, "/healthz", "GET, HEAD");
    check(Method::POST, "/", "GET, HEAD");
}

#[test]
fn a_body_must_be_json_and_say_so() {
    let server = Server::empty();
    let post = |kind: &str, body: &'static [u8]| {
        let request = server
            .request(Method::POST, "/v1/sites")
            .header("Content-Type", kind);
        server.send(request.body(body))
    };
    let _ = post("text/plain", b"{}").problem(415, "unsupported_media_type");
    let _ = post("application/json", b"").problem(400, "bad_json");
    let problem = post("application/json", b"{\"id\": ").problem(400, "bad_json");
    assert!(
        problem["detail"].as_str().unwrap().contains("line 1"),
        "{problem}"
    );
    let _ = post("application/json", b"{} {}").problem(422, "invalid");
    let _ = post("application/json", b"\xff").problem(400, "bad_json");
    let problem = post("application/json; charset=utf-8", b"[]").problem(422, "invalid");
    assert!(problem["errors"][0]["field"].is_string(), "{problem}");
}

#[test]
fn a_body_too_large_is_refused_with_the_limit() {
    let server = Server::empty();
    let large = vec![b' '; 9 * 1024 * 1024];
    let request = server
        .request(Method::POST, "/v1/sites")
        .header("Content-Type", "application/json");
    let problem = server
        .send(request.body(large))
        .problem(413, "body_too_large");
    assert!(
        problem["detail"].as_str().unwrap().contains("8 MB"),
        "{problem}"
    );
    assert_eq!(server.get("/healthz").status, 200);
}

#[test]
fn every_code_is_explained() {
    let server = Server::empty();
    let kinds = server.get("/v1/problems").ok();
    let kinds = kinds["problems"].as_array().unwrap();
    assert!(kinds.len() > 20);
    for kind in kinds {
        let path = format!("/v1/problems/{}", kind["code"].as_str().unwrap());
        assert_eq!(server.get(&path).ok(), *kind);
        assert!(!kind["advice"].as_str().unwrap().is_empty());
    }
}

#[test]
fn bad_scenarios_are_refused_as_on_the_command_line() {
    let server = demo::fixed_week();
    let mut line = demo::scenario()["demand"][0].clone();
    line["product"] = json!("cola");
    line.as_object_mut().unwrap().remove("id");
    let problem = server
        .put(&format!("{}/demand/x", demo::SITE), &line)
        .problem(422, "invalid");
    assert_eq!(problem["errors"][0]["field"], "product");
    assert!(!problem.to_string().contains("panicked"));
}
