//! A site as one file: taken out, put in, copied.

use serde_json::{Value, json};
use tests::{Server, bars, demo, fizzwright};

const BAR: &str = "/v1/sites/corner-bar";

fn drafted() -> (Server, Value) {
    let server = Server::empty();
    let _ = server
        .post("/v1/drafts/sites", &bars::corner_bar())
        .expect(201);
    let file = server.get(&format!("{BAR}/export")).ok();
    (server, file)
}

#[test]
fn a_site_is_taken_out_and_put_in_elsewhere() {
    let (server, file) = drafted();
    let other = Server::empty();
    let made = other.post("/v1/imports", &file);
    let _ = made.expect(201);
    assert_eq!(made.header("location"), BAR);
    for part in ["", "/setup", "/demand", "/assumed"] {
        let path = format!("{BAR}{part}");
        assert_eq!(other.get(&path).ok(), server.get(&path).ok(), "{part}");
    }
    let again = other.get(&format!("{BAR}/export")).ok();
    assert_eq!(again, file);
    // It can be planned there.
    let start = &file["demand"][0]["due"].as_str().unwrap()[..10];
    let week = json!({ "start": format!("{start}T06:00:00+00:00"), "days": 3, "grid_minutes": 30 });
    let asked = other.post(&format!("{BAR}/plans"), &week);
    let _ = asked.expect(202);
    let plan = other.poll(asked.header("location"), demo::ended);
    assert_eq!(plan["state"], "done", "{plan}");
}

#[test]
fn a_site_is_copied_to_start_another() {
    let (server, file) = drafted();
    let _ = server
        .post("/v1/imports", &file)
        .problem(409, "site_exists");
    let copy = server
        .post("/v1/imports?id=second-bar&name=Second%20bar", &file)
        .expect(201);
    assert_eq!(copy["name"], "Second bar");
    let setup = |site: &str| server.get(&format!("/v1/sites/{site}/setup")).ok();
    assert_eq!(setup("second-bar"), setup("corner-bar"));
}

#[test]
fn a_file_with_a_fault_is_refused_and_nothing_is_stored() {
    let (_, mut file) = drafted();
    let other = Server::empty();
    file["demand"][0]["product"] = json!("beer");
    let _ = other.post("/v1/imports", &file).problem(422, "invalid");
    assert_eq!(other.get("/v1/sites").ok(), json!({ "sites": [] }));
    file["format"] = json!("something-else");
    let problem = other.post("/v1/imports", &file).problem(422, "invalid");
    assert_eq!(problem["errors"][0]["field"], "format", "{problem}");
}

#[test]
fn the_command_line_takes_a_site_out_and_puts_it_in() {
    let (server, file) = drafted();
    let database = server.database();
    let out = fizzwright(&["export", "corner-bar", "--database", database], b"").well();
    assert_eq!(out.json(), file);
    let words = [
        "import",
        "-",
        "--id",
        "copy",
        "--name",
        "Copy",
        "--database",
        database,
    ];
    let made = fizzwright(&words, out.out.as_bytes()).well();
    assert_eq!(made.out, "copy\n");
    assert_eq!(server.get("/v1/sites/copy").ok()["name"], "Copy");
    let again = fizzwright(&words, out.out.as_bytes());
    assert_eq!(again.code, Some(2), "{}", again.err);
}
