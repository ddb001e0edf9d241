//! How fast the service is, as ratios from one run: reads against a bare handler that serves the
//! same bytes, writers side by side, what honest callers notice of attacks, searches that are
//! cancelled, and a site with a year of data against one with a week's.
//!
//! `make bench-service` prints the tables. It takes wrk (Debian: `wrk`) and about twenty minutes;
//! `cargo bench --workspace --bench service -- reads` (or `writers`, `attacks`, `cancel`, `year`) does a part.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a bench may fail loudly"
)]

mod attacks;
mod bare;
mod cancel;
mod reads;
mod writers;
mod wrk;
mod year;

use tests::{Server, demo};

fn main() {
    let only = std::env::args().skip(1).find(|a| !a.starts_with('-'));
    let wanted = |part: &str| only.as_deref().is_none_or(|only| only == part);
    println!("{}\n", machine());
    if wanted("writers") {
        writers::timed();
    }
    if wanted("attacks") {
        attacks::timed();
    }
    if wanted("cancel") {
        cancel::timed();
    }
    if !wanted("reads") && !wanted("year") {
        return;
    }
    let server = demo::fixed_week();
    let plan = demo::published(&server);
    if wanted("reads") {
        reads::compared(&server, &plan);
    }
    if wanted("year") {
        year::compared(&server, &plan);
    }
}

fn machine() -> String {
    let info = std::fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let model = info.lines().find_map(|l| l.strip_prefix("model name"));
    let model = model.map_or("unknown processor", |m| {
        m.trim_start_matches(['\t', ' ', ':'])
    });
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let load = std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
    let load = load.split(' ').next().unwrap_or("?").to_owned();
    let profile = if cfg!(debug_assertions) {
        "dev"
    } else {
        "release"
    };
    format!("{model}, {cores} cores, load {load} at the start, {profile} profile, SQLite.")
}

/// Memory of a process now and at its peak, in MB.
fn memory(server: &Server) -> (f64, f64) {
    let status = std::fs::read_to_string(format!("/proc/{}/status", server.process()));
    let status = status.expect("the server runs");
    let of = |name: &str| -> f64 {
        let line = status.lines().find_map(|line| line.strip_prefix(name));
        let kb = line.and_then(|rest| rest.split_whitespace().next());
        kb.and_then(|kb| kb.parse::<f64>().ok()).unwrap_or(0.0) / 1024.0
    };
    (of("VmRSS:"), of("VmHWM:"))
}

/// The value below which a part of the values lies; they are sorted first.
fn percentile(values: &mut [f64], part: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    let n = ((values.len() as f64 * part).ceil() as usize).clamp(1, values.len());
    values[n - 1]
}
