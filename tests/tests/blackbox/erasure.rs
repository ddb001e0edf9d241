//! A person's name is taken out of what is kept, on request, and the trail stays whole.

use reqwest::Method;
use serde_json::{Value, json};
use tests::demo;

const PASSWORD: &str = "four words, well chosen";

/// What a trail tells besides names.
fn told(trail: &Value) -> Vec<Value> {
    let all = trail["entries"].as_array().unwrap().iter();
    let parts = |entry: &Value| {
        let who = &entry["who"]["id"];
        json!([entry["seq"], entry["at"], entry["operation"], who])
    };
    all.map(parts).collect()
}

#[test]
fn a_name_is_erased_everywhere_and_everything_else_stays() {
    let server = demo::fixed_week();
    let ines = json!({ "name": "Ines Almeida", "password": PASSWORD, "scopes": ["plan"] });
    let ines = server.post("/v1/people", &ines).expect(201);
    let path = format!("/v1/people/{}", ines["id"].as_str().unwrap());
    let name = json!({ "name": "Ines Almeida", "password": PASSWORD });
    let signed_in = server.send(server.stranger(Method::POST, "/v1/session").json(&name));
    let cookie = signed_in
        .header("set-cookie")
        .split(';')
        .next()
        .unwrap()
        .to_owned();
    let csrf = signed_in.ok()["csrf_token"].as_str().unwrap().to_owned();
    let as_ines = |method: Method, path: &str| {
        let asked = server.stranger(method, path).header("Cookie", &cookie);
        asked.header("X-CSRF-Token", &csrf)
    };
    let line = format!("{}/demand/fri-tonic", demo::SITE);
    assert_eq!(server.send(as_ines(Method::DELETE, &line)).status, 204);
    let plan = demo::planned(&server);
    let by = json!({ "by": "Ines Almeida" });
    let publish = format!("{plan}/publish");
    let published = server.send(as_ines(Method::POST, &publish).json(&by));
    assert!((200..300).contains(&published.status), "{}", published.text);
    let places = [
        "/v1/audit?limit=500",
        "/v1/events?limit=500",
        "/v1/sites/harbour-bar/published",
    ];
    for place in places {
        assert!(server.get(place).text.contains("Ines Almeida"), "{place}");
    }
    let before = server.get(places[0]).ok();
    let erased = server.post(&format!("{path}/erase"), &json!({})).ok();
    let instead = erased["now_called"].as_str().unwrap();
    assert!(instead.starts_with("person "), "{erased}");
    for place in places {
        let found = server.get(place).text;
        assert!(
            !found.contains("Ines") && found.contains(instead),
            "{place}: {found}"
        );
    }
    // Nothing else has changed, and that it was done is in the trail.
    let after = server.get(places[0]).ok();
    let (before, after) = (told(&before), told(&after));
    assert_eq!(before, after[..before.len()]);
    assert_eq!(after.last().unwrap()[2], "erase_person");
    assert_eq!(server.get(&path).status, 404);
    let signed_in = server.send(as_ines(Method::GET, "/v1/session"));
    let _ = signed_in.problem(401, "unauthenticated");
    // Once more changes nothing; who never was cannot be erased.
    let again = server.post(&format!("{path}/erase"), &json!({})).ok();
    assert_eq!(again, erased);
    let nobody = "/v1/people/01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d/erase";
    let _ = server
        .post(nobody, &json!({}))
        .problem(404, "unknown_person");
}
