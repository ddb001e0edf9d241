//! `fizzwright plan`: what to do, and when.

use std::path::PathBuf;

use clap::Args;
use scheduler::answer::{self, NoAnswer};
use scheduler::milp::{Stop, Watch};
use scheduler::search::Limits;

use super::limits::LimitOptions;
use super::progress::Ticker;
use super::{Failure, file, interrupt, output};
use crate::text;

/// Plan a scenario: the verdict first, then the work day by day, then what to have on hand.
#[derive(Debug, Args)]
pub(crate) struct Plan {
    /// The scenario file; `-` reads standard input.
    file: PathBuf,
    /// Print the whole plan as JSON.
    #[arg(long)]
    json: bool,
    /// Also write the exact model to this file, so that any solver can solve it.
    #[arg(long, value_name = "FILE.mps")]
    export_model: Option<PathBuf>,
    #[command(flatten)]
    limits: LimitOptions,
}

impl Plan {
    pub(crate) fn run(self) -> Result<(), Failure> {
        let scenario = file::scenario(&self.file)?;
        if let Some(path) = &self.export_model {
            answer::export_model(&scenario, path)?;
            eprintln!("wrote the model to {}", path.display());
        }
        let cancel = interrupt::listen();
        let ticker = Ticker::start(&format!(
            "planning {} lines of demand over {} days",
            scenario.demand.len(),
            scenario.horizon.days
        ));
        let watch = Watch {
            cancel: &cancel,
            progress: &|progress| ticker.show(progress),
        };
        let found = answer::plan(&scenario, Limits::from(&self.limits), watch);
        ticker.finish();
        let plan = found.map_err(stopped_early)?;
        if self.json {
            output::print_json(&plan)
        } else {
            output::print(&text::plan(&scenario, &plan))
        }
    }
}

fn stopped_early(error: NoAnswer) -> Failure {
    match error {
        NoAnswer::Stopped(Stop::Time) => Failure::other(
            "the time limit came before a first plan was found; allow more with --time-limit",
        ),
        other => other.into(),
    }
}
