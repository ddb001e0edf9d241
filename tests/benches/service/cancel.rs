//! How soon a plan that is being searched for stops when it is cancelled.

use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tests::{Server, demo};

use super::percentile;

/// Moments of a search at which it is cancelled, in milliseconds from its request: while the
/// program is made, while its relaxation is solved, while whole numbers are searched.
const AFTER_MS: [u64; 12] = [
    50, 150, 300, 500, 800, 1200, 1600, 2200, 3000, 4500, 6000, 9000,
];

/// Time from the request to cancel until the plan is over.
pub(crate) fn timed() {
    let server = demo::fixed_week();
    let mut waited: Vec<f64> = AFTER_MS.map(|after| cancelled(&server, after)).to_vec();
    let (half, most) = (percentile(&mut waited, 0.5), percentile(&mut waited, 1.0));
    println!("| Searches cancelled | Median until it is over, ms | Longest, ms |");
    println!("|---|---|---|");
    println!("| {} | {half:.0} | {most:.0} |\n", waited.len());
}

fn cancelled(server: &Server, after: u64) -> f64 {
    let mut body = demo::week();
    body["grid_minutes"] = json!(15);
    body["gap"] = json!(0);
    body["time_limit_s"] = json!(60);
    let reply = server.post(&format!("{}/plans", demo::SITE), &body);
    let _ = reply.expect(202);
    let path = reply.header("location").to_owned();
    std::thread::sleep(Duration::from_millis(after));
    let asked = Instant::now();
    let _ = server
        .post(&format!("{path}/cancel"), &json!({}))
        .expect(202);
    let over = |plan: &Value| plan["state"] == "cancelled";
    while !over(&server.get(&path).ok()) {
        std::thread::sleep(Duration::from_millis(2));
    }
    asked.elapsed().as_secs_f64() * 1000.0
}
