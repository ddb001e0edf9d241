//! What the published plan uses up, and its work as a page to print.

use serde_json::{Value, json};
use tests::{Server, demo};

fn published() -> (Server, Value) {
    let server = demo::fixed_week();
    let made = server.get(&demo::published(&server)).ok();
    (server, made)
}

#[test]
fn materials_and_the_printed_day_follow_the_published_plan() {
    let before = demo::fixed_week();
    for path in ["materials", "materials.csv", "sheet"] {
        let _ = before
            .get(&format!("{}/{path}", demo::SITE))
            .problem(404, "nothing_published");
    }
    let (server, made) = published();
    materials(&server, &made);
    sheet(&server, &made);
    calendar(&server, &made);
}

fn materials(server: &Server, made: &Value) {
    let found = server
        .get(&format!("{}/materials?lead_h=48", demo::SITE))
        .ok();
    let needs = made["result"]["needs"].as_array().unwrap();
    let materials = found["materials"].as_array().unwrap();
    assert_eq!(materials.len(), needs.len());
    for (material, need) in materials.iter().zip(needs) {
        assert_eq!(material["uses"], need["uses"]);
        for order in material["orders"].as_array().unwrap() {
            assert!(
                order["order_by"].as_str() <= order["needed_by"].as_str(),
                "{order}"
            );
        }
    }
    let text = server.get(&format!("{}/materials.csv", demo::SITE));
    assert_eq!(text.status, 200);
    let mut table = csv::Reader::from_reader(text.text.as_bytes());
    assert_eq!(&table.headers().unwrap()[0], "material");
    let rows: Vec<csv::StringRecord> = table.records().map(Result::unwrap).collect();
    for need in needs {
        let row = rows
            .iter()
            .find(|row| &row[0] == need["material"].as_str().unwrap());
        let uses: f64 = row.unwrap()[3].parse().unwrap();
        assert!((uses - need["uses"].as_f64().unwrap()).abs() < 1e-9);
    }
    let _ = server
        .get(&format!("{}/materials?lead_h=721", demo::SITE))
        .problem(422, "invalid");
}

fn sheet(server: &Server, made: &Value) {
    let page = |query: &str| {
        let reply = server.get(&format!("{}/sheet?{query}", demo::SITE));
        assert_eq!(reply.status, 200, "{}", reply.text);
        assert!(reply.header("content-type").starts_with("text/html"));
        reply.text
    };
    let work = made["result"]["work"].as_array().unwrap();
    let tuesday = |item: &&Value| item["start"].as_str().unwrap().starts_with("2026-06-02T");
    let whole = page("date=2026-06-02");
    let mut count = 0;
    for item in work.iter().filter(tuesday) {
        let id = format!("<p>{}</p>", item["id"].as_str().unwrap());
        assert!(whole.contains(&id), "{id} is missing");
        count += 1;
    }
    // A pot is gone to again when it is chilled, kegs that rest when they are turned down.
    let rests = |item: &Value| item["kind"] == "gas" && item["uptake_min"].as_f64() > Some(60.0);
    let iced = |item: &Value| {
        let kg = |key: &str| item[key].as_f64().unwrap();
        kg("ice_in_kg") + kg("ice_bath_kg") > 0.0
    };
    let again = |item: &&Value| {
        let key = match item["kind"].as_str() {
            Some("boil") if iced(item) => "chill_at",
            Some("gas") if rests(item) => "ready_at",
            _ => return false,
        };
        item[key].as_str().unwrap().starts_with("2026-06-02T")
    };
    let later = work.iter().filter(again).count();
    assert!(count > 0 && later > 0);
    assert_eq!(whole.matches("<article>").count(), count + later);
    let turned_down = work
        .iter()
        .filter(again)
        .filter(|item| item["kind"] == "gas");
    assert_eq!(
        whole.matches("Turn down and vent").count(),
        turned_down.count()
    );
    assert!(whole.contains("size: A4"));
    for fetched in ["<script", "<link", "<img", "url(", "http:", "https:"] {
        assert!(!whole.contains(fetched), "{fetched}");
    }
    let wash = page("date=2026-06-02&role=wash&paper=letter");
    assert!(wash.contains("size: letter"));
    assert!(!wash.contains("<p>boil-"));
    let us = page("date=2026-06-02&units=us");
    assert!(whole.contains("°C") && !whole.contains("°F"));
    assert!(us.contains("°F") && !us.contains("°C"));
    let _ = server
        .get(&format!("{}/sheet?role=chef", demo::SITE))
        .problem(400, "bad_query");
}

/// A rest has an event of its own at its end, with an alarm; it goes when the work is over.
fn calendar(server: &Server, made: &Value) {
    let feed = server.post(&format!("{}/calendars", demo::SITE), &json!({}));
    let feed = feed.expect(201)["path"].as_str().unwrap().to_owned();
    let read = || server.get(&feed).text.replace("\r\n ", "");
    let work = made["result"]["work"].as_array().unwrap();
    let rests = |item: &&Value| item["kind"] == "gas" && item["uptake_min"].as_f64() > Some(60.0);
    let ids: Vec<&str> = work
        .iter()
        .filter(rests)
        .map(|item| item["id"].as_str().unwrap())
        .collect();
    let text = read();
    assert!(!ids.is_empty());
    for id in &ids {
        assert_eq!(text.matches(&format!("UID:{id}.turn-down.")).count(), 1);
    }
    assert_eq!(
        text.matches("SUMMARY:Turn down and vent").count(),
        ids.len()
    );
    assert_eq!(
        text.matches("BEGIN:VALARM").count(),
        text.matches("ACTION:DISPLAY").count()
    );
    assert!(text.matches("BEGIN:VALARM").count() >= ids.len());
    let plan = made["id"].as_str().unwrap();
    let skip = format!("/v1/plans/{plan}/work/{}/skip", ids[0]);
    let _ = server.post(&skip, &json!({})).ok();
    let text = read();
    assert!(!text.contains(&format!("UID:{}.turn-down.", ids[0])));
}
