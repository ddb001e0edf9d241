//! `fizzwright replan`: a new plan from what has happened.

use std::path::PathBuf;

use clap::Args;
use scheduler::answer::{self, Facts};
use scheduler::milp::Watch;
use scheduler::plan::Plan;
use scheduler::search::Limits;

use super::limits::LimitOptions;
use super::progress::Ticker;
use super::{Failure, file, interrupt, output};
use crate::text;

/// Make a new plan from what has happened: started work stays, and as little as possible is moved.
#[derive(Debug, Args)]
pub(crate) struct Replan {
    /// The scenario file the published plan was made from; `-` reads standard input.
    file: PathBuf,
    /// The published plan, as `fizzwright plan --json` prints it.
    #[arg(long, value_name = "PLAN.json")]
    plan: PathBuf,
    /// What has happened: `now`, and `frozen_min`, `events` and `measured` as far as there are any.
    #[arg(long, value_name = "FACTS.json")]
    facts: PathBuf,
    /// Print the answer as JSON, with the scenario that the next replanning starts from.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    limits: LimitOptions,
}

impl Replan {
    pub(crate) fn run(self) -> Result<(), Failure> {
        let scenario = file::scenario(&self.file)?;
        let published: Plan = file::document(&self.plan)?;
        let facts: Facts = file::document(&self.facts)?;
        let cancel = interrupt::listen();
        let ticker = Ticker::start("replanning from what has happened");
        let watch = Watch {
            cancel: &cancel,
            progress: &|progress| ticker.show(progress),
        };
        let limits = Limits::from(&self.limits);
        let found = answer::replan(&scenario, &published, &facts, limits, watch);
        ticker.finish();
        let answer = found?;
        if self.json {
            output::print_json(&answer)
        } else {
            output::print(&text::replan(&answer))
        }
    }
}
