//! How fast the search gets good plans on a folder of weeks: `cargo run --release --example weeks --
//! FOLDER [SECONDS [THREADS [PART-OF-A-NAME …]]]`, one line of a table for each scenario file.
//!
//! Times are seconds of the wall clock to the first plan and to a gap of 1 % and 0.1 %, the gap
//! against the bound known at the end. Beside them stand the processor seconds of the whole answer:
//! on a machine that is busy with other things they compare where wall clock times do not.

#![allow(clippy::expect_used, reason = "a tool may fail loudly")]

use std::cell::RefCell;
use std::path::{Path, PathBuf};
use std::time::Instant;

use scheduler::answer::{NoAnswer, plan};
use scheduler::milp::{Progress, Watch};
use scheduler::scenario::read;
use scheduler::search::{Limits, gap};

/// Clock ticks per second in `/proc/self/stat` (Linux, `getconf CLK_TCK`).
const TICKS_PER_SECOND: f64 = 100.0;

fn main() {
    let mut arguments = std::env::args().skip(1);
    let folder = arguments.next().expect("a folder of scenario files");
    let mut number = |usual: f64| {
        arguments
            .next()
            .map_or(usual, |text| text.parse().expect("a number"))
    };
    let limits = Limits {
        seconds: number(30.0),
        threads: number(1.0) as usize,
        // What is measured is how far a search comes, not when it is no longer worth its time.
        patience: None,
        ..Limits::default()
    };
    let names: Vec<String> = arguments.collect();
    println!("| Week | First plan | 1 % | 0.1 % | Ended | CPU | Gap | Worth | Bound | |");
    println!("|---|---|---|---|---|---|---|---|---|---|");
    for file in files(Path::new(&folder)) {
        let name = file.file_stem().unwrap_or_default().to_string_lossy();
        if names.is_empty() || names.iter().any(|part| name.contains(part.as_str())) {
            println!("{}", line(&name, &file, limits));
        }
    }
}

/// The scenario files of a folder, by name.
fn files(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).expect("the folder can be read");
    let paths = entries.map(|entry| entry.expect("an entry").path());
    let mut files: Vec<PathBuf> = paths
        .filter(|path| path.extension().is_some_and(|e| e == "json"))
        .collect();
    files.sort();
    files
}

/// Plans a week, and says how it went.
fn line(name: &str, file: &Path, limits: Limits) -> String {
    let text = std::fs::read_to_string(file).expect("the file can be read");
    let scenario = read(&text)
        .expect("a scenario")
        .check()
        .expect("a sound one");
    let heard: RefCell<Vec<(f64, Progress)>> = RefCell::default();
    let (began, before) = (Instant::now(), cpu_seconds());
    let report = |p: Progress| {
        heard.borrow_mut().push((began.elapsed().as_secs_f64(), p));
    };
    let never = std::sync::atomic::AtomicBool::new(false);
    let watch = Watch {
        cancel: &never,
        progress: &report,
    };
    let answer = plan(&scenario, limits, watch);
    let took = began.elapsed().as_secs_f64();
    let cpu = cpu_seconds() - before;
    let heard = heard.into_inner();
    let bound = heard
        .iter()
        .filter_map(|(_, p)| p.bound)
        .fold(f64::INFINITY, f64::min);
    let best = |p: &Progress| p.best.unwrap_or(f64::NEG_INFINITY);
    let at = |goal: f64| {
        let reached = heard.iter().find(|(_, p)| gap(best(p), bound) <= goal);
        reached.map_or("–".to_owned(), |(second, _)| format!("{second:.1}"))
    };
    let end = match &answer {
        Ok(plan) => {
            let verdict = &plan.verdict;
            format!(
                "{:.3} % | {:.2} | {:.2} |",
                100.0 * verdict.gap,
                verdict.worth,
                verdict.bound
            )
        }
        Err(NoAnswer::Replay(why)) => format!("– | – | {bound:.2} | refused: {why}"),
        Err(error) => format!("– | – | {bound:.2} | {error}"),
    };
    format!(
        "| {name} | {} | {} | {} | {took:.1} | {cpu:.1} | {end} |",
        at(f64::MAX),
        at(1e-2),
        at(1e-3)
    )
}

/// Processor seconds this process has used; 0 where the system does not tell.
fn cpu_seconds() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    // The name of the program may hold spaces; what follows its bracket does not.
    let fields = stat.rsplit(')').next().unwrap_or_default();
    let ticks = fields.split_whitespace().skip(11).take(2);
    let ticks: f64 = ticks.filter_map(|t| t.parse::<f64>().ok()).sum();
    ticks / TICKS_PER_SECOND
}
