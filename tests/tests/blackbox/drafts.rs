//! Drafts: a first setup from what a person knows, over HTTP and on the command line.

use reqwest::Method;
use serde_json::{Value, json};
use tests::{Server, bars, demo, fizzwright};

const BAR: &str = "/v1/sites/corner-bar";

#[test]
fn a_draft_is_looked_at_and_nothing_is_stored() {
    let server = Server::empty();
    let draft = server.post("/v1/drafts", &bars::corner_bar()).ok();
    assert_eq!(draft["scenario"]["setup"]["pots"][0]["volume_l"], 40.0);
    let assumed = draft["assumed"].as_array().unwrap();
    let field = |name: &str| assumed.iter().find(|one| one["field"] == name);
    let efficiency = field("setup.pots[0].efficiency").unwrap();
    assert_eq!(efficiency["source"], "common practice, no source");
    assert_eq!(
        efficiency["value"],
        draft["scenario"]["setup"]["pots"][0]["efficiency"]
    );
    assert!(field("setup.pots[0].volume_l").is_none(), "it was told");
    assert_eq!(server.get("/v1/sites").ok(), json!({ "sites": [] }));
}

#[test]
fn a_site_is_made_with_its_setup_its_week_and_its_plan() {
    let server = Server::empty();
    let made = server.post("/v1/drafts/sites", &bars::corner_bar());
    let body = made.expect(201);
    assert_eq!(made.header("location"), BAR);
    let plan = format!("/v1/plans/{}", body["plan"]["id"].as_str().unwrap());
    let plan = server.poll(&plan, demo::ended);
    assert_eq!(plan["state"], "done", "{plan}");
    let demand = server.get(&format!("{BAR}/demand")).ok();
    assert_eq!(demand["demand"].as_array().unwrap().len(), 9, "{demand}");
    let again = server.post("/v1/drafts/sites", &bars::corner_bar());
    let _ = again.problem(409, "site_exists");
}

/// A value that somebody changes is assumed no more, and stays so when it is set back.
#[test]
fn what_is_changed_is_assumed_no_more() {
    let server = Server::empty();
    let _ = server
        .post("/v1/drafts/sites", &bars::corner_bar())
        .expect(201);
    let stands = |field: &str| {
        let found = server.get(&format!("{BAR}/assumed")).ok();
        let all = found["assumed"].as_array().unwrap();
        all.iter().any(|one| one["field"] == field)
    };
    assert!(stands("setup.wash.minutes") && stands("setup.wash.hands_min"));
    let patch = |minutes: f64| {
        let said = json!({ "setup": { "wash": { "minutes": minutes } } });
        let asked = server.request(Method::PATCH, &format!("{BAR}/setup"));
        let asked = asked.header("If-Match", "*").json(&said);
        let _ = server.send(asked).ok();
    };
    patch(30.0);
    assert!(!stands("setup.wash.minutes") && stands("setup.wash.hands_min"));
    patch(20.0);
    assert!(!stands("setup.wash.minutes"));
    // The same of the facts of the place.
    assert!(stands("site.room_c"));
    let mut site = server.get(BAR).ok();
    site["room_c"] = json!(26.0);
    let _ = server.put_if(BAR, "*", &site).ok();
    assert!(!stands("site.room_c") && stands("site.elevation_m"));
}

#[test]
fn all_that_is_wrong_is_told_at_once_and_nothing_is_stored() {
    let server = Server::empty();
    let mut answers = bars::corner_bar();
    answers["crew"] = json!([]);
    answers["cold"][0]["kegs"] = json!(0);
    let problem = server
        .post("/v1/drafts/sites", &answers)
        .problem(422, "invalid");
    let fields: Vec<&Value> = problem["errors"]
        .as_array()
        .unwrap()
        .iter()
        .map(|e| &e["field"])
        .collect();
    assert_eq!(fields, ["crew", "cold[0].kegs"]);
    assert_eq!(server.get("/v1/sites").ok(), json!({ "sites": [] }));
}

/// One at a time is what a plan counts on where kegs would share a pressure.
#[test]
fn the_command_line_asks_and_writes_a_scenario_that_can_be_planned() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("bar.json");
    let file = file.to_str().unwrap();
    let said = "Corner bar\nMadrid\n\n\n\n40 L\n3 kW\n\n\nunder counter\n8\n\n\n19\n10\n\n\n4\n\n2.5 bar\n\
        \n\n\n20 kg\nwed-sat\n11\n5pm\n\n\nPlain soda\nhigh\n\nTonic\nhigh\nyes\n\nthu-sat\n\
        half past five\n3\n\n";
    let made = fizzwright(&["new", "--output", file], said.as_bytes()).well();
    assert!(
        made.err
            .contains("setup.pots[0].efficiency = 0.85, usually 0.75 to 0.95"),
        "{}",
        made.err
    );
    let plan = fizzwright(&["plan", file, "--json"], b"").well().json();
    let gas: Vec<&Value> = plan["work"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|w| w["kind"] == "gas")
        .collect();
    assert!(!gas.is_empty(), "{plan}");
    let again = fizzwright(&["new", "--output", file], said.as_bytes());
    assert!(again.err.contains("is there already"), "{}", again.err);
}

#[test]
fn the_command_line_takes_a_file_of_answers_and_single_ones() {
    let answers = bars::stall().to_string();
    let made = fizzwright(&["new", "--answers", "-"], answers.as_bytes()).well();
    assert_eq!(made.json()["setup"]["keg_types"][0]["per_crate"], 12);
    let wrong = fizzwright(
        &["new", "--say", "name=Bar", "--say", "pots[0].litres=lots"],
        b"",
    );
    assert_eq!(wrong.code, Some(2));
    for part in [
        "pots[0].litres: lots found",
        "gas.connections: nothing found",
        "place.time_zone",
    ] {
        assert!(wrong.err.contains(part), "{part} is not in\n{}", wrong.err);
    }
    let unknown = fizzwright(&["new", "--say", "colour=blue"], b"");
    assert!(
        unknown.err.contains("there is no field colour"),
        "{}",
        unknown.err
    );
}

#[test]
fn every_bar_on_the_shelf_can_be_drafted_and_made_different() {
    let server = Server::empty();
    let shelf = server.get("/v1/drafts/shelf").ok();
    let shelf = shelf["shelf"].as_array().unwrap();
    assert_eq!(shelf.len(), 4);
    for one in shelf {
        let _ = server.post("/v1/drafts", &one["answers"]).ok();
    }
    let words = ["new", "--like", "hall", "--say", "pots[0].count=2"];
    let made = fizzwright(&words, b"").well().json();
    assert_eq!(made["setup"]["pots"].as_array().unwrap().len(), 2);
    let unknown = fizzwright(&["new", "--like", "palace"], b"");
    assert!(
        unknown.err.contains("counter (A counter"),
        "{}",
        unknown.err
    );
}
