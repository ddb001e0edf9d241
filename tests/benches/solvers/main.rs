//! Our search against general-purpose solvers, on the same programs in one run.
//!
//! `make bench` prints the table that `scheduler/reference/solvers.md` keeps; a part of a name, as
//! in `cargo bench --workspace --bench solvers -- scarce`, picks scenarios. Every solve has a
//! process of its own, at most two threads, the same gap and the same time limit. Ours works out
//! the program from the scenario and checks the plan by its replay within the time stated; the
//! others get the program as a file and are timed with reading it.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a bench may fail loudly")]

mod family;
#[path = "../../tests/crosscheck/instances.rs"]
#[allow(dead_code, reason = "the tests use more of it")]
mod instances;
#[path = "../../tests/crosscheck/python.rs"]
mod python;

use std::path::Path;
use std::process::Command;
use std::time::Instant;

use scheduler::answer::{export_model, plan};
use scheduler::milp::Watch;
use scheduler::scenario::Scenario;
use scheduler::search::{Limits, gap};
use serde_json::{Value, json};

/// The gap all of them are to reach.
const GAP: f64 = 1e-3;

const SOLVERS: [&str; 3] = ["HiGHS", "SCIP", "CP-SAT"];

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    if let Some(at) = arguments.iter().position(|a| a == "--solve") {
        println!("{}", solved(Path::new(&arguments[at + 1]), limit()));
        return;
    }
    println!("{}", machine());
    println!();
    println!(
        "| Scenario | Ours | {} | Best of them / ours |",
        SOLVERS.join(" | ")
    );
    println!("|---|---|---|---|---|---|");
    let mut ratios = Vec::new();
    let only = arguments[1..].iter().find(|a| !a.starts_with('-'));
    let wanted = |name: &str| only.is_none_or(|part| name.contains(part.as_str()));
    for (name, scenario) in family::all().into_iter().filter(|(name, _)| wanted(name)) {
        let (row, ratio) = compared(&scenario);
        println!("| {name} | {row} |");
        ratios.push(ratio);
    }
    assert!(!ratios.is_empty(), "no scenario has {only:?} in its name");
    ratios.sort_by(f64::total_cmp);
    let middle = (ratios[ratios.len() / 2] + ratios[(ratios.len() - 1) / 2]) / 2.0;
    println!(
        "\nMedian ratio: {middle:.1}. Who does not reach the gap counts with the limit, so a ratio \
         beside which nobody else reaches it is a least one."
    );
}

/// Seconds each solve may take.
fn limit() -> f64 {
    let text = std::env::var("BENCH_SECONDS").unwrap_or_else(|_| "60".to_owned());
    text.parse()
        .unwrap_or_else(|_| panic!("BENCH_SECONDS: a number of seconds is allowed"))
}

fn machine() -> String {
    let info = std::fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let model = info.lines().find_map(|l| l.strip_prefix("model name"));
    let model = model.map_or("unknown processor", |m| {
        m.trim_start_matches(['\t', ' ', ':'])
    });
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    format!(
        "{model}, {cores} cores; gap {} %, at most {} s each. Seconds to the gap, or the gap reached \
         at the limit; peak memory.",
        GAP * 100.0,
        limit()
    )
}

/// One row of the table, and how many times longer the best of the others took.
fn compared(scenario: &Value) -> (String, f64) {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("scenario.json");
    std::fs::write(&file, scenario.to_string()).unwrap();
    let checked: Scenario = serde_json::from_value(scenario.clone()).unwrap();
    export_model(
        &checked.check().unwrap(),
        &folder.path().join("program.mps"),
    )
    .unwrap();
    let child = Command::new(std::env::current_exe().unwrap())
        .args(["--solve", file.to_str().unwrap()])
        .output()
        .unwrap();
    let ours: Value = serde_json::from_slice(&child.stdout)
        .unwrap_or_else(|_| panic!("{}", String::from_utf8_lossy(&child.stderr)));
    let mut cells = vec![cell(&ours)];
    let (mut best, mut anybody) = (f64::INFINITY, false);
    for solver in SOLVERS {
        let (gap, seconds) = (GAP.to_string(), limit().to_string());
        let wanted = [
            "--only",
            solver,
            "--gap",
            &gap,
            "--seconds",
            &seconds,
            "--threads",
            "2",
        ];
        let said = python::run("solvers.py", folder.path(), &wanted);
        let said = said.unwrap_or_else(|complaint| panic!("{complaint}"));
        let line = said.lines().find(|l| l.starts_with('{')).unwrap();
        let theirs: Value = serde_json::from_str(line).unwrap();
        best = best.min(seconds_to_gap(&theirs));
        anybody |= is_there(&theirs);
        cells.push(cell(&theirs));
    }
    let ratio = best / seconds_to_gap(&ours);
    let shown = match (is_there(&ours), anybody) {
        (true, true) => format!("{ratio:.1}"),
        (true, false) => format!("at least {ratio:.1}"),
        (false, true) => format!("at most {ratio:.1}"),
        (false, false) => "nobody reaches it".to_owned(),
    };
    (format!("{} | {shown}", cells.join(" | ")), ratio)
}

/// Plans a scenario in this process.
fn solved(file: &Path, seconds: f64) -> Value {
    let text = std::fs::read_to_string(file).unwrap();
    let began = Instant::now();
    let scenario: Scenario = serde_json::from_str(&text).unwrap();
    let limits = Limits {
        gap: GAP,
        seconds,
        ..Limits::default()
    };
    let verdict = plan(&scenario.check().unwrap(), limits, Watch::default())
        .unwrap()
        .verdict;
    let seconds = began.elapsed().as_secs_f64();
    let peak = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak = peak.lines().find_map(|l| l.strip_prefix("VmHWM:"));
    let peak = peak.and_then(|l| l.trim().strip_suffix(" kB")?.parse::<f64>().ok());
    json!({
        "worth": verdict.worth,
        "bound": verdict.bound,
        "seconds": seconds,
        "peak_mb": peak.map(|kb| kb / 1024.0),
    })
}

fn reached(answer: &Value) -> Option<f64> {
    Some(gap(answer["worth"].as_f64()?, answer["bound"].as_f64()?))
}

/// Whether the gap was reached.
fn is_there(answer: &Value) -> bool {
    reached(answer).is_some_and(|gap| gap <= GAP * 1.01)
}

fn seconds_to_gap(answer: &Value) -> f64 {
    if is_there(answer) {
        answer["seconds"].as_f64().unwrap()
    } else {
        limit()
    }
}

fn cell(answer: &Value) -> String {
    let peak = answer["peak_mb"].as_f64().unwrap_or(f64::NAN);
    let seconds = answer["seconds"].as_f64().unwrap();
    match reached(answer) {
        _ if is_there(answer) => format!("{seconds:.1} s, {peak:.0} MB"),
        Some(gap) => format!("gap {:.2} % at {seconds:.0} s, {peak:.0} MB", gap * 100.0),
        None => format!("nothing at {seconds:.0} s, {peak:.0} MB"),
    }
}
