//! Readings in, fitted numbers out, accepted into the setup by a person.

use chrono::{DateTime, Duration};
use serde_json::{Value, json};
use tests::demo;

/// A pot that takes this part of its power, measured every minute so that the readings outweigh
/// what the setup says: 4186 J for a kilogram of water and a kelvin, 500 for
/// steel, so that the fit is within a few per cent of it.
const PART: f64 = 0.6;

#[test]
fn a_pot_s_efficiency_is_fitted_from_its_boils_and_accepted() {
    let server = demo::fixed_week();
    let plan = server.post(&format!("{}/plans", demo::SITE), &demo::week());
    let _ = plan.expect(202);
    let path = plan.header("location").to_owned();
    let made = server.poll(&path, |plan| plan["state"] == "done");
    let _ = server.post(&format!("{path}/publish"), &json!({})).ok();
    let place = format!("{}/calibration", demo::SITE);
    assert_eq!(server.get(&place).ok()["parameters"], json!([]));

    let setup = server.get(&format!("{}/setup", demo::SITE)).ok();
    let work = made["result"]["work"].as_array().unwrap();
    let boil = work.iter().find(|item| item["kind"] == "boil").unwrap();
    let pots = setup["setup"]["pots"].as_array().unwrap();
    let pot = pots.iter().find(|pot| pot["id"] == boil["pot"]).unwrap();
    let number = |value: &Value| value.as_f64().unwrap();
    let capacity = number(&boil["tap_l"]) * 4186.0 + number(&pot["empty_kg"]) * 500.0;
    let per_min = number(&pot["power_w"]) * PART * 60.0 / capacity;
    let start = DateTime::parse_from_rfc3339(boil["start"].as_str().unwrap()).unwrap();
    let readings: Vec<Value> = (0..40)
        .map(|minutes| {
            json!({ "kind": "temperature", "unit": "c", "value": 15.0 + per_min * f64::from(minutes),
                "at": (start + Duration::minutes(i64::from(minutes))).to_rfc3339() })
        })
        .collect();
    let item = format!("{path}/work/{}", boil["id"].as_str().unwrap());
    let _ = server
        .post(&format!("{item}/start"), &json!({ "at": boil["start"] }))
        .ok();
    let _ = server
        .post(
            &format!("{item}/readings"),
            &json!({ "readings": readings }),
        )
        .ok();

    let found = server.get(&place);
    let etag = found.header("etag").to_owned();
    let fit = found.ok()["parameters"][0].clone();
    let name = format!("pots/{}/efficiency", boil["pot"].as_str().unwrap());
    assert_eq!(fit["parameter"], name.as_str());
    assert_eq!(fit["in_use"], pot["efficiency"]);
    let fitted = number(&fit["fitted"]);
    assert!((fitted - PART).abs() < 0.08, "{fit}");
    assert!(number(&fit["spread"]) > 0.0, "{fit}");

    let accept = |etag: &str, names: Value| {
        let body = json!({ "parameters": names, "by": "Ines" });
        let request = server.request(reqwest::Method::POST, &format!("{place}/accept"));
        server.send(request.header("If-Match", etag).json(&body))
    };
    let problem = accept(&etag, json!(["pots/none/efficiency"])).problem(422, "invalid");
    assert_eq!(problem["errors"][0]["field"], "parameters[0]");
    let _ = accept("\"7\"", json!([name])).problem(412, "changed_since");
    let accepted = accept(&etag, json!([name])).ok();
    assert_eq!(accepted["setup_revision"], 2);
    let setup = server.get(&format!("{}/setup", demo::SITE)).ok();
    let pots = setup["setup"]["pots"].as_array().unwrap();
    let pot = pots.iter().find(|pot| pot["id"] == boil["pot"]).unwrap();
    assert_eq!(pot["efficiency"], fit["fitted"]);
    let told = server.get("/v1/events?type=calibration.accepted").ok();
    assert_eq!(told["events"][0]["data"]["by"], "Ines");
}
