//! A site with a year of data against the same site with a week's, request by request.

use std::time::Instant;

use reqwest::Method;
use serde_json::{Value, json};
use tests::{Server, demo};

use super::percentile;

const MOVEMENTS: usize = 20_000;
const LINES: usize = 5_000;
const PLANS: usize = 400;

/// Requests of each kind whose middle is taken.
const TIMES: usize = 41;

/// Every endpoint's time with a year of data, over its time without.
pub(crate) fn compared(week: &Server, plan: &str) {
    let year = demo::fixed_week();
    let begun = Instant::now();
    filled(&year);
    let plan_of_year = demo::published(&year);
    println!(
        "A year of data, {MOVEMENTS} movements, {LINES} lines of demand, {PLANS} plans, was put in \
         over HTTP in {:.0} s. Median of {TIMES} requests, in turns.\n",
        begun.elapsed().as_secs_f64()
    );
    println!("| Request | Week, ms | Year, ms | Year / week |");
    println!("|---|---|---|---|");
    let mut worst: f64 = 0.0;
    for (method, path) in requests() {
        let (mut short, mut long) = (Vec::new(), Vec::new());
        for n in 0..TIMES {
            short.push(timed(week, &method, &path.replace("{plan}", plan), n));
            long.push(timed(
                &year,
                &method,
                &path.replace("{plan}", &plan_of_year),
                n,
            ));
        }
        let (short, long) = (percentile(&mut short, 0.5), percentile(&mut long, 0.5));
        worst = worst.max(long / short);
        println!(
            "| `{method} {path}` | {short:.2} | {long:.2} | {:.2} |",
            long / short
        );
    }
    let (now, peak) = super::memory(&year);
    println!("\nThe largest ratio is {worst:.2}. Memory: {now:.0} MB, {peak:.0} MB at its peak.");
}

fn requests() -> Vec<(Method, String)> {
    let site = demo::SITE;
    let week = "from=2026-06-01T00:00:00Z&to=2026-06-09T00:00:00Z";
    let mut all: Vec<(Method, String)> = [
        "/v1/sites".to_owned(),
        site.to_owned(),
        format!("{site}/setup"),
        format!("{site}/setup/revisions"),
        format!("{site}/codes"),
        format!("{site}/demand?{week}"),
        format!("{site}/demand.csv?{week}"),
        format!("{site}/stock"),
        format!("{site}/stock?at=2026-06-02T08:00:00Z"),
        format!("{site}/stock/entries?limit=1"),
        format!("{site}/stock/kegs"),
        format!("{site}/plans?limit=1"),
        "{plan}".to_owned(),
        "{plan}/work".to_owned(),
        "{plan}/scenario".to_owned(),
        format!("{site}/published"),
        format!("{site}/publications?limit=1"),
        format!("{site}/work"),
        format!("{site}/materials"),
        format!("{site}/sheet"),
        format!("{site}/readings?limit=1"),
        format!("{site}/calendars"),
        format!("{site}/calibration"),
        "/v1/events?limit=4".to_owned(),
        "/v1/audit?limit=4".to_owned(),
        "/v1/webhooks".to_owned(),
        "/v1/keys".to_owned(),
        "/metrics".to_owned(),
    ]
    .into_iter()
    .map(|path| (Method::GET, path))
    .collect();
    all.push((Method::POST, format!("{site}/stock/movements")));
    all.push((Method::PUT, format!("{site}/demand/bench")));
    all
}

/// Milliseconds a request takes; what it is answered does not matter but for failures.
fn timed(server: &Server, method: &Method, path: &str, n: usize) -> f64 {
    let request = server.request(method.clone(), path);
    let request = match *method {
        Method::POST => request.json(&movement(&format!("timed-{n}"), n)),
        Method::PUT => request.json(&line(2 + n % 5, 3.0)),
        _ => request,
    };
    let begun = Instant::now();
    let reply = server.send(request);
    let took = begun.elapsed().as_secs_f64() * 1000.0;
    assert!(reply.status < 400, "{method} {path}: {}", reply.text);
    took
}

fn movement(reference: &str, n: usize) -> Value {
    json!({
        "reference": reference,
        "at": format!("2026-06-0{}T{:02}:{:02}:00+01:00", 2 + n % 7, 8 + n % 12, n % 60),
        "change": { "of": "material", "material": "ascorbate", "amount": 0.001 },
    })
}

fn line(day: usize, litres: f64) -> Value {
    json!({ "product": "tonic", "due": format!("2026-06-{day:02}T17:00:00+01:00"),
        "litres": litres, "priority": 3, "kind": "forecast" })
}

/// The year before the week: movements, demand and plans of each of its days.
fn filled(server: &Server) {
    let site = demo::SITE;
    let day = |n: usize| {
        let first = chrono::NaiveDate::from_ymd_opt(2025, 6, 1).expect("a day");
        first + chrono::Days::new(n as u64 * 360 / MOVEMENTS as u64)
    };
    let mut count = demo::count_of(&demo::scenario());
    count["reference"] = json!("a-year-ago");
    count["at"] = json!("2025-06-01T00:00:00Z");
    count["stock"]["ready"] = json!([]);
    count["stock"]["on_tap"] = json!([]);
    let _ = server
        .post(&format!("{site}/stock/counts"), &count)
        .expect(201);
    for n in 0..MOVEMENTS {
        let body = json!({
            "reference": format!("year-{n}"), "at": format!("{}T12:00:00Z", day(n)),
            "change": { "of": "ice", "kg": if n % 2 == 0 { 1.0 } else { -1.0 } },
        });
        let _ = server
            .post(&format!("{site}/stock/movements"), &body)
            .expect(201);
    }
    for n in 0..LINES {
        let due = format!("{}T17:00:00Z", day(n * MOVEMENTS / LINES));
        let body = json!({ "product": "tonic", "due": due, "litres": 3.0, "priority": 3,
            "kind": "forecast" });
        let path = format!("{site}/demand/year-{n}");
        let _ = server.put(&path, &body).expect(201);
    }
    for n in 0..PLANS {
        let start = format!("{}T06:00:00Z", day(n * MOVEMENTS / PLANS));
        let body = json!({ "start": start, "days": 1, "grid_minutes": 60, "gap": 0.05 });
        let reply = server.post(&format!("{site}/plans"), &body);
        let _ = reply.expect(202);
        let _ = server.poll(reply.header("location"), demo::ended);
    }
}
