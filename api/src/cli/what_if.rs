//! `fizzwright what-if`: changes to a scenario, side by side.

use std::path::PathBuf;

use clap::Args;
use scheduler::answer::{self, WhatIfQuestion};
use scheduler::milp::Watch;
use scheduler::search::Limits;

use super::limits::LimitOptions;
use super::{Failure, file, interrupt, output};
use crate::text;

/// Plan a scenario as it is and with each of a list of changes, and say what is different.
#[derive(Debug, Args)]
pub(crate) struct WhatIf {
    /// The scenario file; `-` reads standard input.
    file: PathBuf,
    /// The changes: `{"changes": [{"label": "…", "patch": {…}}]}`, each a merge patch (RFC 7396)
    /// or a list of operations (RFC 6902) on the scenario.
    #[arg(long, value_name = "CHANGES.json")]
    changes: PathBuf,
    /// Print the answer as JSON.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    limits: LimitOptions,
}

impl WhatIf {
    pub(crate) fn run(self) -> Result<(), Failure> {
        let scenario = file::scenario(&self.file)?;
        let question: WhatIfQuestion = file::document(&self.changes)?;
        let cancel = interrupt::listen();
        eprintln!(
            "planning {} scenarios side by side",
            question.changes.len() + 1
        );
        let watch = Watch::quiet(&cancel);
        let answer = answer::what_if(&scenario, &question, Limits::from(&self.limits), watch)?;
        if self.json {
            output::print_json(&answer)
        } else {
            output::print(&text::what_if(&answer))
        }
    }
}
