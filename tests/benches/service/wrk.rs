//! What wrk finds out.

use std::process::Command;

/// How fast requests were answered, none of them with an error.
pub(crate) struct Pace {
    pub(crate) requests: u64,
    pub(crate) per_second: f64,
    pub(crate) median_ms: f64,
    pub(crate) p99_ms: f64,
}

/// Runs wrk as it was told, with an API key.
pub(crate) fn run(mut command: Command, url: &str, key: &str) -> Pace {
    let out = command
        .args(["--latency", "-H"])
        .arg(format!("Authorization: Bearer {key}"))
        .arg(url)
        .output()
        .expect("wrk is installed (Debian: wrk)");
    let text = String::from_utf8_lossy(&out.stdout).into_owned();
    for trouble in ["Non-2xx", "Socket errors"] {
        assert!(!text.contains(trouble), "{url}:\n{text}");
    }
    let of = |name: &str| {
        let line = text.lines().find_map(|line| line.trim().strip_prefix(name));
        line.unwrap_or_else(|| panic!("no {name} in\n{text}"))
            .trim()
            .to_owned()
    };
    let total = text.lines().find(|line| line.contains(" requests in "));
    let requests = total.and_then(|line| line.split_whitespace().next());
    Pace {
        requests: requests.expect("a total").parse().expect("a number"),
        per_second: of("Requests/sec:").parse().expect("a number"),
        median_ms: in_ms(&of("50%")),
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
