//! What-if questions that nobody can work out: they are told so at the door, and take no memory.

use serde_json::{Value, json};
use tests::{Reply, Server, demo, fizzwright};

use super::board::{csrf, open, send, signed_in};

/// A patch of a kilobyte or two that doubles the scenario with each of its operations.
fn doubling() -> Value {
    let copy = |n: usize| json!({ "op": "copy", "from": "/setup", "path": format!("/setup/x{n}") });
    (0..40).map(copy).collect()
}

/// A patch that nests the scenario so deeply that no stack holds it.
fn nesting() -> Value {
    let mut operations = vec![json!({ "op": "add", "path": "/x", "value": {} })];
    for _ in 0..60 {
        operations.push(json!({ "op": "move", "from": "/x", "path": "/y" }));
        operations.push(json!({ "op": "add", "path": "/x", "value": { "in": {} } }));
        operations.push(json!({ "op": "copy", "from": "/y", "path": "/x/in/it" }));
    }
    Value::from(operations)
}

fn asked(server: &Server, patch: &Value) -> Reply {
    let mut body = demo::week();
    body["changes"] = json!([
        { "label": "As it is", "patch": {} },
        { "label": "Otherwise", "patch": patch },
    ]);
    server.post(&format!("{}/what-if", demo::SITE), &body)
}

/// Resident memory of a process, in megabytes.
fn memory(process: u32) -> u64 {
    let status = std::fs::read_to_string(format!("/proc/{process}/status")).unwrap();
    let peak = status.lines().find(|line| line.starts_with("VmHWM:"));
    let kilobytes = peak.unwrap().split_whitespace().nth(1).unwrap();
    kilobytes.parse::<u64>().unwrap() / 1024
}

#[test]
fn a_patch_that_doubles_the_scenario_is_refused_and_takes_no_memory() {
    let server = demo::fixed_week();
    let before = memory(server.process());
    for (patch, part) in [(doubling(), "copies and shifts"), (nesting(), "nests")] {
        let refused = asked(&server, &patch).problem(422, "invalid");
        assert_eq!(refused["errors"][0]["field"], "changes[1].patch");
        let told = refused["errors"][0]["message"].as_str().unwrap();
        assert!(told.contains(part), "{told}");
    }
    let grown = memory(server.process()).saturating_sub(before);
    assert!(grown < 200, "{grown} MB");
}

#[test]
fn what_cannot_be_planned_is_refused_when_it_is_asked() {
    let server = demo::fixed_week();
    for (patch, part) in [
        (json!({ "setup": { "pots": [] } }), "setup.pots"),
        (
            json!({ "setup": { "ice": { "rate_kg_per_h": -1.0 } } }),
            "rate_kg_per_h",
        ),
        (json!({ "sight": {} }), "sight"),
        (json!({ "demand": [] }), "demand: 0 lines"),
        (json!([{ "op": "remove", "path": "/nowhere" }]), "/nowhere"),
        (json!([{ "op": "paint", "path": "/setup" }]), "paint"),
        (json!("much"), "RFC 7396"),
    ] {
        let refused = asked(&server, &patch).problem(422, "invalid");
        assert_eq!(refused["errors"][0]["field"], "changes[1].patch");
        let told = refused["errors"][0]["message"].as_str().unwrap();
        assert!(told.contains(part), "{part}: {told}");
    }
}

#[test]
fn the_board_refuses_such_a_patch_on_the_same_page() {
    let server = demo::fixed_week();
    let cookie = signed_in(&server, "plan");
    let plan = demo::planned(&server);
    let id = plan.rsplit('/').next().unwrap();
    let page = format!("/board/harbour-bar/plans/{id}");
    let own = csrf(&open(&server, &cookie, "/board/harbour-bar/today").text);
    for (patch, part) in [
        (doubling(), "copies and shifts"),
        (json!({ "demand": [] }), "demand: 0 lines"),
    ] {
        let patch = patch.to_string();
        let fields = [("csrf", own.as_str()), ("patch", patch.as_str())];
        let reply = send(&server, &cookie, &format!("{page}/what-if"), &fields);
        assert_eq!(reply.status, 422, "{}", reply.text);
        assert!(reply.text.contains(part), "no {part}: {}", reply.text);
    }
}

#[test]
fn the_command_line_refuses_it_too() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("changes.json");
    let changes = json!({ "changes": [{ "label": "x", "patch": doubling() }] });
    std::fs::write(&file, changes.to_string()).unwrap();
    let arguments = ["what-if", "-", "--changes", file.to_str().unwrap()];
    let ended = fizzwright(&arguments, demo::scenario().to_string().as_bytes());
    assert_eq!(ended.code, Some(2), "{}", ended.err);
    let part = "changes[0].patch: operation";
    assert!(ended.err.contains(part), "{}", ended.err);
}
