//! Demand over HTTP.

use std::io::Write;

use reqwest::Method;
use serde_json::{Value, json};
use tests::{Server, demo};

const DEMAND: &str = "/v1/sites/harbour-bar/demand";

fn with_site() -> Server {
    let server = Server::empty();
    let scenario = demo::scenario();
    let _ = server.post("/v1/sites", &scenario["site"]).expect(201);
    let _ = server
        .put("/v1/sites/harbour-bar/setup", &demo::setup_of(&scenario))
        .expect(201);
    server
}

fn line(litres: f64) -> Value {
    json!({
        "product": "tonic",
        "due": "2026-06-05T17:00:00+01:00",
        "litres": litres,
        "priority": 3,
        "kind": "booking",
    })
}

#[test]
fn a_line_is_put_under_the_callers_reference() {
    let server = with_site();
    let path = format!("{DEMAND}/fri-tonic");
    let new = server.put(&path, &line(20.0)).expect(201);
    assert_eq!(new["id"], "fri-tonic");
    let _ = server.put(&path, &line(24.0)).ok();
    let listed = server.get(DEMAND).ok();
    assert_eq!(listed["demand"].as_array().unwrap().len(), 1);
    assert_eq!(listed["demand"][0]["litres"], 24.0);
    assert_eq!(server.delete(&path).status, 204);
    let _ = server.delete(&path).problem(404, "unknown_demand");
}

#[test]
fn times_are_sent_back_on_the_sites_clock() {
    let server = with_site();
    let mut tokyo = line(20.0);
    tokyo["due"] = json!("2026-06-06T01:00:00+09:00");
    let _ = server
        .put(&format!("{DEMAND}/fri-tonic"), &tokyo)
        .expect(201);
    assert_eq!(
        server.get(DEMAND).ok()["demand"][0]["due"],
        "2026-06-05T17:00:00+01:00"
    );
}

#[test]
fn a_range_is_listed_and_replaced_without_the_rest() {
    let server = with_site();
    let all = demo::scenario()["demand"].as_array().unwrap().len();
    let week = "from=2026-06-01T00:00:00Z&to=2026-06-09T00:00:00Z";
    let body = json!({ "demand": demo::scenario()["demand"] });
    let stored = server.put(&format!("{DEMAND}?{week}"), &body).ok();
    assert_eq!(stored["demand"].as_array().unwrap().len(), all);
    let friday = "from=2026-06-05T00:00:00%2B01:00&to=2026-06-06T00:00:00%2B01:00";
    let before = server.get(&format!("{DEMAND}?{friday}")).ok()["demand"]
        .as_array()
        .unwrap()
        .len();
    assert!(before > 0 && before < all);
    let _ = server
        .put(&format!("{DEMAND}?{friday}"), &json!({ "demand": [] }))
        .ok();
    let left = server.get(DEMAND).ok()["demand"].as_array().unwrap().len();
    assert_eq!(left, all - before);
}

#[test]
fn what_is_wrong_with_a_line_is_named() {
    let server = with_site();
    let check = |edit: fn(&mut Value), field: &str, part: &str| {
        let mut wrong = line(20.0);
        edit(&mut wrong);
        let problem = server
            .put(&format!("{DEMAND}/x"), &wrong)
            .problem(422, "invalid");
        assert_eq!(problem["errors"][0]["field"], field, "{problem}");
        assert!(
            problem["detail"].as_str().unwrap().contains(part),
            "{problem}"
        );
    };
    check(
        |l| l["product"] = json!("cola"),
        "product",
        "the setup has: plain-soda",
    );
    check(|l| l["litres"] = json!(-3), "litres", "0.1 to 10000 L");
    check(
        |l| l["priority"] = json!(9),
        "priority",
        "1 (served first) to 5",
    );
    check(
        |l| l["due"] = json!("friday"),
        "due",
        "input contains invalid characters",
    );
    check(|l| l["kind"] = json!("rumour"), "kind", "`forecast`");
    check(|l| l["liters"] = json!(3), "liters", "unknown field");
}

#[test]
fn a_range_needs_both_ends_in_order_and_a_limited_number_of_lines() {
    let server = with_site();
    let put = |query: &str, body: &Value| server.put(&format!("{DEMAND}?{query}"), body);
    let none = json!({ "demand": [] });
    let problem = put("from=2026-06-05T00:00:00Z", &none).problem(400, "bad_query");
    assert!(
        problem["detail"].as_str().unwrap().contains("`to`"),
        "{problem}"
    );
    let backwards = "from=2026-06-05T00:00:00Z&to=2026-06-04T00:00:00Z";
    let _ = put(backwards, &none).problem(422, "invalid");
    let mut named = line(1.0);
    named["id"] = json!("again");
    let many = json!({ "demand": vec![named; 10_000] });
    let june = "from=2026-06-01T00:00:00Z&to=2026-07-01T00:00:00Z";
    let problem = put(june, &many).problem(422, "invalid");
    assert!(
        problem["detail"].as_str().unwrap().contains("at most 2000"),
        "{problem}"
    );
}

#[test]
fn a_line_is_changed_only_as_it_was_read() {
    let server = with_site();
    let path = format!("{DEMAND}/fri-tonic");
    let new = server.put(&path, &line(20.0));
    let _ = new.expect(201);
    let tag = server.get(&path).header("etag").to_owned();
    assert_eq!(new.header("etag"), tag);
    let _ = server.put(&path, &line(24.0)).ok();
    let _ = server
        .put_if(&path, &tag, &line(30.0))
        .problem(412, "changed_since");
    let stale = server
        .request(Method::DELETE, &path)
        .header("If-Match", &tag);
    let _ = server.send(stale).problem(412, "changed_since");
    let tag = server.get(&path).header("etag").to_owned();
    let _ = server.put_if(&path, &tag, &line(30.0)).ok();
    assert_eq!(server.get(&path).ok()["litres"], 30.0);
    let _ = server
        .put_if(&format!("{DEMAND}/none"), "*", &line(30.0))
        .problem(412, "changed_since");
    let _ = server
        .get(&format!("{DEMAND}/none"))
        .problem(404, "unknown_demand");
}

fn table(server: &Server, query: &str, text: &str) -> tests::Reply {
    let request = server
        .request(Method::POST, &format!("{DEMAND}.csv{query}"))
        .header("Content-Type", "text/csv; charset=utf-8");
    server.send(request.body(text.to_owned()))
}

#[test]
fn a_long_table_goes_out_in_parts_that_fit_together() {
    let server = demo::fixed_week();
    // Many lines of one service, so that parts end within it; their number is that of whole parts.
    let before = server.get(DEMAND).ok()["demand"].as_array().unwrap().len();
    let mut text = "id,product,due,litres,priority,kind\n".to_owned();
    for n in before..1500 {
        let day = 1 + n / 600;
        text += &format!("long-{n:04},tonic,2026-07-0{day}T17:00:00+01:00,1,3,forecast\n");
    }
    let _ = table(&server, "", &text).ok();
    let out = server.get(&format!("{DEMAND}.csv"));
    assert_eq!(out.status, 200);
    let named: Vec<&str> = out.text.lines().skip(1).collect();
    assert_eq!(named.len(), 1500);
    let listed = server.get(DEMAND).ok();
    for (row, line) in named.iter().zip(listed["demand"].as_array().unwrap()) {
        assert_eq!(row.split(',').next(), line["id"].as_str());
    }
    let some = server.get(&format!("{DEMAND}.csv?from=2026-07-02T00:00:00Z"));
    let later = (before..1500).filter(|n| n / 600 >= 1).count();
    assert_eq!(some.text.lines().count(), 1 + later);
    let none = server.get(&format!("{DEMAND}.csv?from=2030-01-01T00:00:00Z"));
    assert_eq!(none.text, "id,product,due,litres,priority,kind,note\n");
}

#[test]
fn demand_goes_out_and_comes_in_as_a_table() {
    let server = demo::fixed_week();
    let before = server.get(DEMAND).ok();
    let out = server.get(&format!("{DEMAND}.csv"));
    assert!(out.header("content-type").starts_with("text/csv"));
    assert!(
        out.text
            .starts_with("id,product,due,litres,priority,kind,note\n"),
        "{}",
        out.text
    );
    let lines = before["demand"].as_array().unwrap().len();
    assert_eq!(out.text.lines().count(), lines + 1);
    let outcome = table(&server, "", &out.text).ok();
    assert_eq!(
        outcome,
        json!({ "dry_run": false, "lines": lines, "new": 0, "replaced": lines })
    );
    assert_eq!(server.get(DEMAND).ok(), before);
    let one = "id,product,due,litres,priority,kind\n\
        new-tonic,tonic,2026-06-05T17:00:00+01:00,12.5,2,booking\n";
    let dry = table(&server, "?dry_run=true", one).ok();
    assert_eq!(
        dry,
        json!({ "dry_run": true, "lines": 1, "new": 1, "replaced": 0 })
    );
    let _ = server
        .get(&format!("{DEMAND}/new-tonic"))
        .problem(404, "unknown_demand");
    let _ = table(&server, "", one).ok();
    assert_eq!(
        server.get(&format!("{DEMAND}/new-tonic")).ok()["litres"],
        12.5
    );
}

#[test]
fn what_is_wrong_with_a_table_is_named_by_line_and_nothing_is_stored() {
    let server = demo::fixed_week();
    let before = server.get(DEMAND).ok();
    let wrong = "id,product,due,litres,priority,kind\n\
        a,tonic,2026-06-05T17:00:00+01:00,12,2,booking\n\
        b,tonic,2026-02-30T17:00:00+01:00,12,2,booking\n\
        c,tonic,2026-06-05T17:00:00+01:00,plenty,2,booking\n";
    let problem = table(&server, "", wrong).problem(422, "invalid");
    assert_eq!(problem["errors"][0]["field"], "line 3, due", "{problem}");
    assert_eq!(problem["errors"][1]["field"], "line 4, litres", "{problem}");
    let other = wrong
        .replace("2026-02-30", "2026-06-05")
        .replace("plenty", "1")
        .replace("c,tonic", "c,cola");
    let _ = table(&server, "?dry_run=true", &other).problem(422, "invalid");
    assert_eq!(server.get(DEMAND).ok(), before);
    let json = server
        .request(Method::POST, &format!("{DEMAND}.csv"))
        .json(&json!({}));
    let _ = server.send(json).problem(415, "unsupported_media_type");
}

#[test]
fn a_note_is_no_formula_in_a_table_and_comes_back_as_it_was() {
    let server = demo::fixed_week();
    let notes = [
        "=HYPERLINK(\"http://x.example\")",
        "+1 555 0100",
        "-2+3",
        "@SUM(A1:A9)",
        "'=1",
        "-1.5",
        "plain",
    ];
    let path = |n: usize| format!("{DEMAND}/cell-{n}");
    for (n, note) in notes.iter().enumerate() {
        let line = json!({ "product": "tonic", "due": "2026-07-05T17:00:00+01:00", "litres": 3.0,
            "priority": 3, "kind": "booking", "note": note });
        let _ = server.put(&path(n), &line).expect(201);
    }
    let out = server.get(&format!("{DEMAND}.csv?from=2026-07-01T00:00:00Z"));
    let mut rows = csv::Reader::from_reader(out.text.as_bytes());
    let cells: Vec<String> = rows
        .records()
        .map(|row| row.unwrap()[6].to_owned())
        .collect();
    assert_eq!(cells.len(), notes.len());
    for cell in &cells {
        let formula = cell.starts_with(['=', '+', '-', '@']) && cell.parse::<f64>().is_err();
        assert!(!formula, "{cell}");
    }
    let _ = table(&server, "", &out.text).ok();
    for (n, note) in notes.iter().enumerate() {
        assert_eq!(server.get(&path(n)).ok()["note"], *note);
    }
}

/// A table of some lines, each with a note of some length.
fn long_table(lines: usize, note: usize) -> String {
    let mut text = "id,product,due,litres,priority,kind,note\n".to_owned();
    for n in 0..lines {
        let note = "n".repeat(note);
        text += &format!("long-{n},tonic,2026-06-05T17:00:00+01:00,1,3,forecast,{note}\n");
    }
    text
}

#[test]
fn a_table_is_read_while_it_arrives() {
    let server = demo::fixed_week();
    let path = format!("{DEMAND}.csv");
    let send = |body: reqwest::blocking::Body| {
        let request = server.request(Method::POST, &path).body(body);
        server.send(request.header("Content-Type", "text/csv"))
    };
    // Of no stated length, so in parts.
    let text = std::io::Cursor::new(long_table(1500, 10));
    let outcome = send(reqwest::blocking::Body::new(text)).ok();
    assert_eq!(outcome["new"], 1500);
    let before = server.get(DEMAND).ok();
    let text = std::io::Cursor::new(long_table(9000, 1000));
    let _ = send(reqwest::blocking::Body::new(text)).problem(413, "body_too_large");
    // The first line is wrong, the rest is sent all the same.
    let wrong = long_table(1500, 1000).replacen("tonic", "", 1);
    let text = std::io::Cursor::new(wrong);
    let problem = send(reqwest::blocking::Body::new(text)).problem(422, "invalid");
    assert_eq!(problem["errors"][0]["field"], "line 2, row");
    assert_eq!(server.get(DEMAND).ok(), before);
}

#[test]
fn a_table_that_breaks_off_changes_nothing() {
    let server = demo::fixed_week();
    let before = server.get(DEMAND).ok();
    let text = long_table(100, 10);
    let address = server.root().trim_start_matches("http://");
    let mut stream = std::net::TcpStream::connect(address).unwrap();
    let head = format!(
        "POST {DEMAND}.csv HTTP/1.1\r\nHost: {address}\r\nAuthorization: Bearer {}\r\n\
         Content-Type: text/csv\r\nContent-Length: {}\r\n\r\n",
        server.key(),
        text.len()
    );
    // Whole lines, so that what has arrived could be read as a table.
    let half = &text[..=text[..text.len() / 2].rfind('\n').unwrap()];
    stream.write_all(head.as_bytes()).unwrap();
    stream.write_all(half.as_bytes()).unwrap();
    drop(stream);
    std::thread::sleep(std::time::Duration::from_millis(500));
    assert_eq!(server.get(DEMAND).ok(), before);
}
