//! What the published plan uses up, and its work as a page to print.

use serde_json::Value;
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
    assert_eq!(whole.matches("<article>").count(), count);
    assert!(count > 0);
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
