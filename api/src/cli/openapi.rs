//! `fizzwright openapi`: the published contract.

use clap::Args;

use super::{Failure, output};
use crate::contract;

/// Print the contract of the service (OpenAPI 3.1, JSON).
#[derive(Debug, Args)]
pub(crate) struct Openapi {}

impl Openapi {
    pub(crate) fn run(self) -> Result<(), Failure> {
        output::print(&contract::text().map_err(Failure::other)?)
    }
}
