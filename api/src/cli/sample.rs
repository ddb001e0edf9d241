//! `fizzwright sample`: the demo scenario.

use chrono::Utc;
use clap::Args;
use scheduler::sample;

use super::{Failure, output};

/// Print the demo scenario as JSON: a harbour bar and its next week.
#[derive(Debug, Args)]
pub(crate) struct Sample {
    /// Print the copy with fixed dates (the week of 1 June 2026), which never changes.
    #[arg(long)]
    fixed: bool,
}

impl Sample {
    pub(crate) fn run(self) -> Result<(), Failure> {
        let scenario = if self.fixed {
            sample::fixed()
        } else {
            sample::scenario(Utc::now().with_timezone(&sample::ZONE))
        };
        output::print_json(&scenario)
    }
}
