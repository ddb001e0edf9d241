//! The service, its storage and the command line around the scheduler.
//!
//! ```text
//! command line ─▶ scenario file ─┐
//! HTTP ─▶ routes ─▶ app ─▶ domain ─▶ storage ─▶ scenario ─▶ scheduler ─▶ plan ─▶ text, JSON
//! ```
//!
//! `cli` holds one file per command and `text` what they print. `routes` holds the handlers and
//! `board` the pages, and both call `app`, the use cases, one file per noun; `domain` holds what
//! they decide by; `storage`, alone, knows SQL. `http` is what every
//! handler needs from the protocol, `problem` turns refusals into problem documents, `jobs` runs
//! plans on threads of their own, `settings` finds out how the service is to run, `limits` and
//! `metrics` count, `hashing` hashes passwords, `refusals` writes down what
//! was refused, `telemetry` logs and traces. No physics and no scheduling rules live here.

mod app;
mod auth_cache;
mod blocking;
mod board;
mod cli;
mod contract;
mod demo;
mod domain;
mod hashing;
mod http;
mod jobs;
mod limits;
mod metrics;
mod problem;
mod readiness;
mod refusals;
mod response_cache;
mod routes;
mod server;
mod service;
mod settings;
mod stopping;
mod storage;
mod telemetry;
mod text;

use std::process::ExitCode;
use std::time::Duration;

/// How long the program waits at its end for searches that were cancelled and go on a while.
const LAST_RUNS: Duration = Duration::from_secs(20);

/// Runs the command line and says how it ended: 0 for success, 2 for bad input, 1 otherwise.
#[must_use]
pub fn run() -> ExitCode {
    let code = cli::run();
    if !scheduler::milp::wait_for_runs(LAST_RUNS) {
        tracing::warn!("a cancelled search is still going on");
    }
    code
}
