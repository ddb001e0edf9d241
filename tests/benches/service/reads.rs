//! Reads, by wrk, in turns with the bare handler.

use std::process::Command;

use tests::{Server, demo};

use super::wrk::{self, Pace};
use super::{bare, percentile};

/// Threads that answer requests in the service.
const WORKERS: usize = 2;

const ROUNDS: usize = 5;

/// Reads side by side; the middle of several rounds.
pub(crate) fn compared(server: &Server, plan: &str) {
    println!("| Read | Bytes | Service, 1/s | p99, ms | Bare handler, 1/s | Service / bare |");
    println!("|---|---|---|---|---|---|");
    let site = demo::SITE;
    for path in [
        format!("{plan}/work"),
        format!("{site}/work"),
        plan.to_owned(),
        format!("{site}/stock"),
        "/v1/sites".to_owned(),
    ] {
        let bytes = server.get(&path);
        assert_eq!(bytes.status, 200, "{}", bytes.text);
        let other = bare::serve(&bytes.text, WORKERS);
        let ours = format!("{}{path}", server.root());
        let theirs = format!("http://{other}{path}");
        let mut found: [Vec<f64>; 4] = Default::default();
        for _ in 0..ROUNDS {
            let (one, two) = (read(&ours, server.key()), read(&theirs, server.key()));
            found[0].push(one.per_second);
            found[1].push(one.p99_ms);
            found[2].push(two.per_second);
            found[3].push(one.per_second / two.per_second);
        }
        let [ours, p99, theirs, ratio] = found.each_mut().map(|values| percentile(values, 0.5));
        let shown = path
            .replace(plan, "/v1/plans/{plan}")
            .replace(site, "/v1/sites/{site}");
        println!(
            "| `{shown}` | {} | {ours:.0} | {p99:.1} | {theirs:.0} | {ratio:.2} |",
            bytes.text.len()
        );
    }
    let (now, peak) = super::memory(server);
    println!("\nMemory of the service afterwards: {now:.0} MB, {peak:.0} MB at its peak.\n");
}

/// Sixteen connections for three seconds.
fn read(url: &str, key: &str) -> Pace {
    let mut command = Command::new("wrk");
    let _ = command.args(["-t", "1", "-c", "16", "-d", "3s"]);
    wrk::run(command, url, key)
}
