//! `fizzwright commitment`: can this be taken too?

use std::path::PathBuf;

use clap::Args;
use scheduler::answer::{self, CommitmentQuestion};
use scheduler::milp::Watch;
use scheduler::scenario::quantities::DemandVolume;
use scheduler::scenario::{KegTypeId, ProductId};
use scheduler::search::Limits;

use super::limits::LimitOptions;
use super::progress::Ticker;
use super::{Failure, file, interrupt, output, when};
use crate::text;

/// Say whether something more can be taken for a service, what it costs, and what it touches.
#[derive(Debug, Args)]
pub(crate) struct Commitment {
    /// The scenario file; `-` reads standard input.
    file: PathBuf,
    /// The product.
    #[arg(long, value_name = "ID", value_parser = ProductId::parse)]
    product: ProductId,
    /// How much, in full kegs.
    #[arg(
        long,
        value_name = "KEGS",
        conflicts_with = "litres",
        required_unless_present = "litres"
    )]
    kegs: Option<u16>,
    /// The keg type those kegs are; the largest one, if none is named.
    #[arg(long, value_name = "ID", value_parser = KegTypeId::parse, requires = "kegs")]
    keg_type: Option<KegTypeId>,
    /// How much, in litres.
    #[arg(long, value_name = "LITRES", value_parser = litres)]
    litres: Option<DemandVolume>,
    /// The service: `2026-06-06T18:00:00+01:00`, or by the site's clock `2026-06-06 18:00` or
    /// `saturday 18:00`.
    #[arg(long, value_name = "WHEN")]
    by: String,
    /// Print the answer as JSON.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    limits: LimitOptions,
}

impl Commitment {
    pub(crate) fn run(self) -> Result<(), Failure> {
        let scenario = file::scenario(&self.file)?;
        let question = CommitmentQuestion {
            product: self.product,
            litres: self.litres,
            kegs: self.kegs,
            keg_type: self.keg_type,
            due: when::instant(&self.by, &scenario).map_err(Failure::input)?,
        };
        let cancel = interrupt::listen();
        let ticker = Ticker::start("planning without it and with it");
        let watch = Watch {
            cancel: &cancel,
            progress: &|progress| ticker.show(progress),
        };
        let found = answer::commitment(&scenario, &question, Limits::from(&self.limits), watch);
        ticker.finish();
        let answer = found?;
        if self.json {
            output::print_json(&answer)
        } else {
            output::print(&text::commitment(&scenario, &answer))
        }
    }
}

fn litres(text: &str) -> Result<DemandVolume, String> {
    let number: f64 = text
        .parse()
        .map_err(|_| "a number of litres is allowed".to_owned())?;
    DemandVolume::new(number).map_err(|e| e.to_string())
}
