//! `fizzwright confidence`: how sure is a plan?

use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};

use clap::Args;
use scheduler::answer::{self, ConfidenceQuestion, Spreads};
use scheduler::milp::Watch;
use scheduler::plan::Plan;
use scheduler::search::Limits;

use super::limits::LimitOptions;
use super::progress::Ticker;
use super::{Failure, file, interrupt, output};
use crate::text;

/// Replay a plan many times with everything varied, and say how often each service is met.
#[derive(Debug, Args)]
pub(crate) struct Confidence {
    /// The scenario file; `-` reads standard input.
    file: PathBuf,
    /// The plan, as `fizzwright plan --json` prints it; it is made first, if none is given.
    #[arg(long, value_name = "PLAN.json")]
    plan: Option<PathBuf>,
    /// How often to replay it (100 to 100000).
    #[arg(long, value_name = "COUNT", default_value = "1000")]
    replays: u32,
    /// Starts the random numbers: the same seed gives the same answer.
    #[arg(long, value_name = "NUMBER", default_value = "1")]
    seed: u64,
    /// How far things may be off; the usual spreads for what is not named.
    #[arg(long, value_name = "SPREADS.json")]
    spreads: Option<PathBuf>,
    /// Print the answer as JSON.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    limits: LimitOptions,
}

impl Confidence {
    pub(crate) fn run(self) -> Result<(), Failure> {
        let scenario = file::scenario(&self.file)?;
        let spreads = self.spreads.as_deref().map(file::document::<Spreads>);
        let question = ConfidenceQuestion {
            replays: self.replays,
            seed: self.seed,
            spreads: spreads.transpose()?.unwrap_or_default(),
        };
        let cancel = interrupt::listen();
        let plan = match &self.plan {
            Some(path) => file::document(path)?,
            None => self.made(&scenario, &cancel)?,
        };
        // Whoever ended the planning early wants the best plan so far replayed.
        cancel.store(false, Ordering::Relaxed);
        let watch = Watch::quiet(&cancel);
        let answer = answer::confidence(&scenario, &plan, &question, watch)?;
        if self.json {
            output::print_json(&answer)
        } else {
            output::print(&text::confidence(&scenario, &answer))
        }
    }

    fn made(
        &self,
        scenario: &scheduler::check::Checked,
        cancel: &AtomicBool,
    ) -> Result<Plan, Failure> {
        let ticker = Ticker::start("planning first");
        let watch = Watch {
            cancel,
            progress: &|progress| ticker.show(progress),
        };
        let found = answer::plan(scenario, Limits::from(&self.limits), watch);
        ticker.finish();
        Ok(found?)
    }
}
