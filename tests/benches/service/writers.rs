//! Sixteen writers of stock movements side by side.

use std::time::{Duration, Instant};

use reqwest::blocking::Client;
use serde_json::json;
use tests::{Server, demo};

use super::percentile;

const WRITERS: usize = 16;
const LASTS: Duration = Duration::from_secs(15);

/// How long a movement takes, and whether any is refused.
pub(crate) fn timed() {
    let server = demo::fixed_week();
    let begun = Instant::now();
    let mut all: Vec<f64> = std::thread::scope(|scope| {
        let server = &server;
        let writers: Vec<_> = (0..WRITERS)
            .map(|writer| scope.spawn(move || write(server, writer)))
            .collect();
        let times = writers.into_iter().map(|writer| writer.join());
        times.flat_map(|times| times.expect("a writer")).collect()
    });
    let took = begun.elapsed().as_secs_f64();
    let count = all.len();
    let stock = server.get(&format!("{}/stock", demo::SITE)).ok();
    assert_eq!(stock["movements"], count, "none is lost");
    let (half, most) = (percentile(&mut all, 0.5), percentile(&mut all, 0.99));
    let (now, peak) = super::memory(&server);
    println!("| Writers | Movements | 1/s | Median, ms | p99, ms | Errors | Memory, MB |");
    println!("|---|---|---|---|---|---|---|");
    println!(
        "| {WRITERS} | {count} | {:.0} | {half:.1} | {most:.1} | 0 | {now:.0}, peak {peak:.0} |\n",
        count as f64 / took
    );
}

fn write(server: &Server, writer: usize) -> Vec<f64> {
    let client = Client::builder().no_proxy().build().expect("a client");
    let url = format!("{}{}/stock/movements", server.root(), demo::SITE);
    let (begun, mut times) = (Instant::now(), Vec::new());
    while begun.elapsed() < LASTS {
        let movement = json!({
            "reference": format!("bench-{writer}-{}", times.len()),
            "at": "2026-06-02T08:00:00+01:00",
            "change": { "of": "ice", "kg": 0.01 },
        });
        let sent = Instant::now();
        let request = client.post(&url).bearer_auth(server.key()).json(&movement);
        let response = request.send().expect("an answer");
        assert_eq!(response.status().as_u16(), 201);
        let _ = response.bytes().expect("a body");
        times.push(sent.elapsed().as_secs_f64() * 1000.0);
    }
    times
}
