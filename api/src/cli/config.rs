//! `fizzwright config`: the settings that hold.

use clap::Args;

use super::{Failure, output};
use crate::settings::{self, Flags};

/// Print the settings that hold, and where each came from.
#[derive(Debug, Args)]
pub(crate) struct Config {
    #[command(flatten)]
    flags: Flags,
}

impl Config {
    pub(crate) fn run(self) -> Result<(), Failure> {
        let found = settings::find(&self.flags).map_err(Failure::Input)?;
        output::print(&found.to_string())
    }
}
