//! How large a scenario's program is, what memory its search was estimated to take, and what it took:
//! `cargo run --example size -- SCENARIO.json [SECONDS]`, one line of a table. The estimate of
//! `answer::estimate` was fitted to such lines.

#![allow(clippy::expect_used, reason = "a tool may fail loudly")]

use std::time::Instant;

use scheduler::answer::{estimate, plan};
use scheduler::milp::Watch;
use scheduler::scenario::read;
use scheduler::search::Limits;

fn main() {
    let mut arguments = std::env::args().skip(1);
    let file = arguments.next().expect("a scenario file");
    let seconds = arguments
        .next()
        .map_or(60.0, |text| text.parse().expect("seconds are a number"));
    let text = std::fs::read_to_string(&file).expect("the file can be read");
    let scenario = read(&text)
        .expect("a scenario")
        .check()
        .expect("a sound one");
    let began = Instant::now();
    let size = estimate(&scenario).expect("physics that is known");
    let estimated = began.elapsed().as_secs_f64();
    let limits = Limits {
        seconds,
        ..Limits::default()
    };
    let began = Instant::now();
    let found = plan(&scenario, limits, Watch::default()).map(|plan| plan.verdict.gap);
    let took = began.elapsed().as_secs_f64();
    let (rows, columns, nonzeros) = (size.rows, size.columns, size.nonzeros);
    println!(
        "| {file} | {rows} | {columns} | {nonzeros} | {estimated:.2} s | {} MB | {} MB | \
         {took:.1} of {seconds} s | {found:?} |",
        size.memory_mb,
        peak_mb()
    );
}

/// The most memory this process has had, in megabytes; 0 where the system does not tell.
fn peak_mb() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak = status.lines().find(|line| line.starts_with("VmHWM:"));
    let kilobytes = peak.and_then(|line| line.split_whitespace().nth(1)?.parse::<u64>().ok());
    kilobytes.unwrap_or(0) / 1024
}
