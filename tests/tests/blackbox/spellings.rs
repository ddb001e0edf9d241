//! However a path is spelled, a key of one site gets nothing of another's.
//!
//! Every operation of the contract and every page of the board is asked for by a key of another site,
//! in every spelling that a router, a proxy or a file system might take for the same path. What is
//! refused is refused at the door: the answer is never one that only a handler gives.

use serde_json::{Value, json};
use tests::raw::{Answer, Raw};
use tests::{Server, demo};

/// The house, the other house, and a key that may do everything in the other alone.
struct Houses {
    server: Server,
    theirs: String,
    /// What stands for each name in a path, all of the first house.
    parts: Vec<(String, String)>,
}

fn text(value: &Value) -> String {
    value.as_str().expect("a text").to_owned()
}

fn houses() -> Houses {
    let server = demo::fixed_week();
    let mut other = demo::scenario()["site"].clone();
    other["id"] = json!("long-bar");
    let _ = server.post("/v1/sites", &other).expect(201);
    let body = json!({ "name": "theirs", "scopes": ["admin"], "sites": ["long-bar"] });
    let theirs = text(&server.post("/v1/keys", &body).expect(201)["key"]);
    let day = json!({ "start": "2026-06-01T06:00:00+01:00", "days": 1, "grid_minutes": 60 });
    let asked = |rest: &str, more: Value| {
        let mut body = day.clone();
        for (name, value) in more.as_object().unwrap() {
            body[name] = value.clone();
        }
        let made = server.post(&format!("{}/{rest}", demo::SITE), &body);
        text(&made.expect(202)["id"])
    };
    let change =
        json!([{ "label": "No ice", "patch": { "setup": { "ice": { "purchase": null } } } }]);
    let order = json!({ "product": "tonic", "kegs": 1, "due": "2026-06-01T20:00:00+01:00" });
    let plan = asked("plans", json!({}));
    let question = asked("what-if", json!({ "changes": change }));
    let commitment = asked("commitments", order);
    for search in [
        format!("/v1/plans/{plan}"),
        format!("/v1/questions/{question}"),
        format!("/v1/commitments/{commitment}"),
    ] {
        // What goes on by itself would look like a change.
        let _ = server.poll(&search, demo::ended);
    }
    let feed = server.post(&format!("{}/calendars", demo::SITE), &json!({}));
    let hook = json!({ "url": "https://hooks.example/fizz", "site": "harbour-bar" });
    let hook = server.post("/v1/webhooks", &hook).expect(201);
    let line = server.get(&format!("{}/demand", demo::SITE)).ok()["demand"][0]["id"].clone();
    let delivery = format!("msg_{}", "0".repeat(32));
    let parts = [
        ("site", "harbour-bar".to_owned()),
        ("plan", plan),
        ("question", question),
        ("commitment", commitment),
        ("calendar", text(&feed.expect(201)["id"])),
        ("webhook", text(&hook["id"])),
        ("line", text(&line)),
        ("delivery", delivery),
        ("item", "boil-1".to_owned()),
        ("revision", "1".to_owned()),
        ("seq", "1".to_owned()),
        ("grai", "00614141234561A".to_owned()),
        ("part", "carbonation".to_owned()),
        ("name", "pressure".to_owned()),
    ];
    let parts = parts.map(|(name, value)| (name.to_owned(), value));
    Houses {
        server,
        theirs,
        parts: parts.into(),
    }
}

/// A path with the names in it replaced; nothing if it is not about a house.
fn filled(houses: &Houses, template: &str) -> Option<String> {
    let about = [
        "{site}",
        "{plan}",
        "{question}",
        "{commitment}",
        "{webhook}",
    ];
    if !about.iter().any(|name| template.contains(name)) {
        return None;
    }
    let mut path = template.to_owned();
    for (name, value) in &houses.parts {
        path = path.replace(&format!("{{{name}}}"), value);
    }
    assert!(
        !path.contains('{'),
        "{template} names what the test does not know"
    );
    Some(path)
}

fn coded(part: &str, which: impl Fn(usize) -> bool, capitals: bool) -> String {
    let mut written = String::new();
    for (n, byte) in part.bytes().enumerate() {
        match (which(n), capitals) {
            (false, _) => written.push(char::from(byte)),
            (true, false) => written.push_str(&format!("%{byte:02x}")),
            (true, true) => written.push_str(&format!("%{byte:02X}")),
        }
    }
    written
}

/// Every spelling of a path, of which one part says whose it is.
fn spellings(path: &str, id: &str) -> Vec<String> {
    let with = |part: &str| path.replacen(id, part, 1);
    let first = coded(id, |n| n == 0, false);
    let dash = coded(id, |n| id.as_bytes()[n] == b'-', true);
    let all = coded(id, |_| true, false);
    let mut found = vec![
        path.to_owned(),
        with(&first),
        with(&dash),
        with(&all),
        with(&coded(id, |_| true, true)),
        with(&first.replace('%', "%25")),
        with(&all.replace('%', "%25")),
        with(&first.replace('%', "%2525")),
        with(&id.to_uppercase()),
        with(&format!("./{id}")),
        with(&format!("long-bar/../{id}")),
        with(&format!("long-bar/%2e%2e/{id}")),
        with(&format!("long-bar/.%2E/{id}")),
        with(&format!("long-bar%2f..%2f{id}")),
        with(&format!("long-bar%5c..%5c{id}")),
        with(&format!("long-bar/..;/{id}")),
        with(&format!("/{id}")),
        with(&format!("{id}/")),
        with(&format!("{id};site=long-bar")),
        with(&format!("{id}%3bsite=long-bar")),
        with(&format!("{id}%00")),
        with(&format!("{id}%00long-bar")),
        with(&format!("{id}%0a")),
        with(&format!("{id}%20")),
        with(&format!("{id}%09")),
        with(&format!("+{id}")),
        with(&format!("{id}%c0%80")),
        with(&format!("{id}%ff")),
        path.replacen('/', "//", 1),
        path.replacen('/', "/./", 1),
        path.replacen('/', "/long-bar/../", 1),
        path.replacen("/v1/", "/%76%31/", 1),
        path.replacen("/board/", "/%62oard/", 1),
        path.replacen("/board/", "/board%2f", 1),
        path.to_uppercase(),
        format!("{path}/"),
        format!("{path}//"),
        format!("{path}/."),
        format!("{path}%2f"),
        format!("{path};"),
        format!("{path}?site=long-bar"),
        format!("http://long-bar.example{path}"),
        path.replace(&format!("/{id}"), &format!("%2F{id}")),
    ];
    found.dedup();
    found
}

/// What the contract's operations are: method and path.
fn operations(server: &Server) -> Vec<(String, String)> {
    let contract = tests::contract::of(server);
    let mut found = Vec::new();
    for (path, item) in contract["paths"].as_object().unwrap() {
        for method in item.as_object().unwrap().keys() {
            found.push((method.to_uppercase(), path.clone()));
        }
    }
    found
}

/// The board's pages and forms, as its list has them: method, path and name of each.
fn pages() -> Vec<(String, String)> {
    let file = tests::here().join("../api/src/board/list.rs");
    let text = std::fs::read_to_string(file).unwrap();
    let (_, list) = text.split_once("const PAGES").expect("the list");
    let (list, _) = list.split_once("];").expect("its end");
    let quoted: Vec<&str> = list.split('"').skip(1).step_by(2).collect();
    let found = quoted.chunks(3).map(|entry| {
        assert!(entry[1].starts_with("/board"), "{entry:?}");
        (entry[0].to_owned(), entry[1].to_owned())
    });
    found.collect()
}

/// Everything the first house keeps, as its own people see it.
fn kept(server: &Server) -> Vec<String> {
    let site = demo::SITE;
    let paths = [
        site.to_owned(),
        format!("{site}/setup"),
        format!("{site}/demand"),
        format!("{site}/codes"),
        format!("{site}/stock/entries"),
        format!("{site}/plans"),
        format!("{site}/calendars"),
        format!("{site}/publications"),
        "/v1/events?site=harbour-bar&limit=500".to_owned(),
        "/v1/audit?site=harbour-bar&limit=500".to_owned(),
        "/v1/webhooks".to_owned(),
    ];
    paths.iter().map(|path| server.get(path).text).collect()
}

/// Codes of problems that only the door answers with, or that give nothing away.
const AT_THE_DOOR: [&str; 6] = [
    "unknown_path",
    "unknown_site",
    "unknown_plan",
    "bad_path",
    "forbidden",
    "method_not_allowed",
];

/// Asks in every spelling, and says where an answer came from further in than the door.
fn let_in(
    houses: &Houses,
    asked: &[(String, String)],
    kind: &str,
    refused: impl Fn(&Answer) -> bool,
) -> Vec<String> {
    let mut raw = Raw::to(&houses.server);
    let bearer = format!("Bearer {}", houses.theirs);
    let headers = [("authorization", bearer.as_str()), ("content-type", kind)];
    let (mut wrong, mut count) = (Vec::new(), 0);
    for (method, template) in asked {
        let Some(path) = filled(houses, template) else {
            continue;
        };
        let mut parts = houses.parts.iter().map(|(_, value)| value);
        let id = parts.find(|value| path.contains(*value)).unwrap();
        // Nothing a handler could take: were it reached, it would say so.
        let body = if method == "GET" { "" } else { "{" };
        for spelling in spellings(&path, id) {
            let answer = raw.send(method, &spelling, &headers, body);
            count += 1;
            if !refused(&answer) {
                wrong.push(format!(
                    "{method} {spelling}: {} {}",
                    answer.status, answer.text
                ));
            }
        }
    }
    assert!(count > 1000, "only {count} were asked");
    wrong
}

#[test]
fn no_spelling_of_a_path_leads_to_another_site() {
    let houses = houses();
    let before = kept(&houses.server);
    let api = operations(&houses.server);
    let wrong = let_in(&houses, &api, "application/json", |answer| {
        let document: Value = serde_json::from_str(&answer.text).unwrap_or_default();
        let code = document["code"].as_str().unwrap_or_default();
        AT_THE_DOOR.contains(&code)
    });
    assert!(
        wrong.is_empty(),
        "{}: {:#?}",
        wrong.len(),
        &wrong[..wrong.len().min(20)]
    );
    let wrong = let_in(
        &houses,
        &pages(),
        "application/x-www-form-urlencoded",
        |answer| [400, 403, 404, 405].contains(&answer.status),
    );
    assert!(
        wrong.is_empty(),
        "{}: {:#?}",
        wrong.len(),
        &wrong[..wrong.len().min(20)]
    );
    assert_eq!(kept(&houses.server), before);
}

#[test]
fn another_spelling_of_ones_own_path_is_the_same_path() {
    let server = demo::fixed_week();
    let mut raw = Raw::to(&server);
    let bearer = format!("Bearer {}", server.key());
    let headers = [
        ("authorization", bearer.as_str()),
        ("content-type", "application/json"),
    ];
    let path = "/v1/sites/%68arbour%2Dbar/demand/late%5Forder";
    let line = json!({ "product": "tonic", "due": "2026-06-05T17:00:00+01:00", "litres": 5.0,
        "priority": 3, "kind": "booking" });
    let made = raw.send("PUT", path, &headers, &line.to_string());
    assert_eq!(made.status, 201, "{}", made.text);
    assert_eq!(raw.send("GET", path, &headers, "").status, 200);
    // The trail says where, however it was spelled.
    let trail = server.get("/v1/audit?site=harbour-bar&limit=500").ok();
    let last = trail["entries"].as_array().unwrap().last().unwrap().clone();
    assert_eq!(last["site"], "harbour-bar", "{last}");
    assert_eq!(last["path"], "/v1/sites/harbour-bar/demand/late_order");
}

/// A plan of one house is none of the other's, for those who may go to both.
#[test]
fn on_the_board_a_plan_belongs_to_its_site() {
    let houses = houses();
    let body = json!({ "name": "both", "scopes": ["admin"], "sites": ["long-bar", "harbour-bar"] });
    let both = text(&houses.server.post("/v1/keys", &body).expect(201)["key"]);
    let plan = &houses
        .parts
        .iter()
        .find(|(name, _)| name == "plan")
        .unwrap()
        .1;
    for (site, status) in [("harbour-bar", 200), ("long-bar", 404)] {
        let path = format!("/board/{site}/plans/{plan}");
        let page = houses.server.request_as(&both, reqwest::Method::GET, &path);
        assert_eq!(houses.server.send(page).status, status, "{path}");
    }
}
