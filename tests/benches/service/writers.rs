//! Sixteen writers of stock movements side by side, by wrk.

use std::fs::write;
use std::process::Command;

use tests::{Server, demo};

use super::wrk::{self, Pace};

const WRITERS: usize = 16;
const LASTS: &str = "15s";

/// Each request is another movement, with a reference of its own.
const MOVEMENTS: &str = r#"
local count = 0
wrk.method = "POST"
wrk.headers["Content-Type"] = "application/json"
function request()
  count = count + 1
  local body = '{"reference":"bench-' .. count .. '","at":"2026-06-02T08:00:00+01:00",'
    .. '"change":{"of":"ice","kg":0.01}}'
  return wrk.format(nil, nil, nil, body)
end
"#;

/// How long a movement takes, and whether any is refused.
pub(crate) fn timed() {
    let server = demo::fixed_week();
    let pace = wrote(&server);
    let stock = server.get(&format!("{}/stock", demo::SITE)).ok();
    // Those that were on their way when time was over are recorded, and not counted by wrk.
    let recorded = stock["movements"].as_u64().expect("a number");
    let lost = pace.requests.saturating_sub(recorded);
    assert_eq!(
        lost, 0,
        "{} were answered, {recorded} are there",
        pace.requests
    );
    let (now, peak) = super::memory(&server);
    println!("| Writers | Movements | 1/s | Median, ms | p99, ms | Errors | Memory, MB |");
    println!("|---|---|---|---|---|---|---|");
    println!(
        "| {WRITERS} | {} | {:.0} | {:.1} | {:.1} | 0 | {now:.0}, peak {peak:.0} |\n",
        pace.requests, pace.per_second, pace.median_ms, pace.p99_ms
    );
}

fn wrote(server: &Server) -> Pace {
    let dir = tempfile::tempdir().expect("a folder");
    let script = dir.path().join("movements.lua");
    write(&script, MOVEMENTS).expect("a file");
    let mut command = Command::new("wrk");
    let _ = command
        .args(["-t", "1", "-d", LASTS, "-c"])
        .arg(WRITERS.to_string())
        .arg("-s")
        .arg(&script);
    let url = format!("{}{}/stock/movements", server.root(), demo::SITE);
    wrk::run(command, &url, server.key())
}
