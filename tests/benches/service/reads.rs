//! Reads, by wrk, in turns with the bare handler.

use std::process::Command;

use tests::{Server, demo};

use super::{bare, percentile};

/// Threads that answer requests in the service.
const WORKERS: usize = 2;

const ROUNDS: usize = 5;

struct Pace {
    per_second: f64,
    p99_ms: f64,
}

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
            let (one, two) = (wrk(&ours, server.key()), wrk(&theirs, server.key()));
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
fn wrk(url: &str, key: &str) -> Pace {
    let out = Command::new("wrk")
        .args(["-t", "1", "-c", "16", "-d", "3s", "--latency", "-H"])
        .arg(format!("Authorization: Bearer {key}"))
        .arg(url)
        .output()
        .expect("wrk is installed (Debian: wrk)");
    let text = String::from_utf8_lossy(&out.stdout).into_owned();
    let of = |name: &str| {
        let line = text.lines().find_map(|line| line.trim().strip_prefix(name));
        line.unwrap_or_else(|| panic!("no {name} in\n{text}"))
            .trim()
            .to_owned()
    };
    assert!(!text.contains("Non-2xx"), "{url}:\n{text}");
    Pace {
        per_second: of("Requests/sec:").parse().expect("a number"),
        p99_ms: in_ms(&of("99%")),
    }
}

fn in_ms(text: &str) -> f64 {
    let number: String = text
        .chars()
        .take_while(|c| c.is_ascii_digit() || *c == '.')
        .collect();
    let value: f64 = number.parse().expect("a number");
    match &text[number.len()..] {
        "us" => value / 1000.0,
        "ms" => value,
        "s" => value * 1000.0,
        other => panic!("unit {other}"),
    }
}
