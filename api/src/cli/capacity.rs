//! `fizzwright capacity`: how many kegs can be ready by a time, and what stops there being more.

use std::path::PathBuf;

use clap::Args;
use scheduler::answer::{self, CapacityQuestion, MixPart};
use scheduler::check::Checked;
use scheduler::milp::Watch;
use scheduler::scenario::ProductId;
use scheduler::search::Limits;

use super::limits::LimitOptions;
use super::progress::Ticker;
use super::{Failure, file, interrupt, output, when};
use crate::text;

/// Say how many kegs can be ready by a time, and what stops there being more.
#[derive(Debug, Args)]
#[command(mut_arg("time_limit", |limit| limit.default_value(USUAL_SECONDS)))]
pub(crate) struct Capacity {
    /// The scenario file; `-` reads standard input.
    file: PathBuf,
    /// When: `2026-06-05T17:00:00+01:00`, or by the site's clock `2026-06-05 17:00` or
    /// `friday 5pm`.
    #[arg(long, value_name = "WHEN", required_unless_present = "curve")]
    by: Option<String>,
    /// Show how many at each hour of the horizon instead.
    #[arg(long, conflicts_with = "by")]
    curve: bool,
    /// Only kegs of this product.
    #[arg(long, value_name = "ID", value_parser = ProductId::parse)]
    product: Option<ProductId>,
    /// Only whole sets of kegs: `tonic=2,plain-soda=1` counts two kegs of tonic with each of soda.
    #[arg(long, value_name = "ID=KEGS", value_delimiter = ',', value_parser = part,
        conflicts_with_all = ["product", "curve"])]
    mix: Vec<MixPart>,
    /// Print the answer as JSON.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    limits: LimitOptions,
}

/// Seconds a question may take where no other limit is given: somebody waits for the answer, and
/// a bound stands beside it either way.
const USUAL_SECONDS: &str = "2.0";

/// Seconds a whole curve may take at least.
const CURVE_SECONDS: f64 = 30.0;

fn part(text: &str) -> Result<MixPart, String> {
    let allowed = "a product and how many kegs of it are allowed, such as tonic=2";
    let (product, kegs) = text.split_once('=').ok_or(allowed)?;
    Ok(MixPart {
        product: ProductId::parse(product.trim()).map_err(|error| error.to_string())?,
        kegs: kegs.trim().parse().map_err(|_| allowed)?,
    })
}

impl Capacity {
    pub(crate) fn run(self) -> Result<(), Failure> {
        let scenario = file::scenario(&self.file)?;
        let Some(by) = &self.by else {
            return self.curve(&scenario);
        };
        let question = CapacityQuestion {
            by: when::instant(by, &scenario).map_err(Failure::input)?,
            product: self.product,
            mix: self.mix,
        };
        let cancel = interrupt::listen();
        let ticker = Ticker::start("counting the kegs that can be ready");
        let watch = Watch {
            cancel: &cancel,
            progress: &|progress| ticker.show(progress),
        };
        let found = answer::capacity(&scenario, &question, Limits::from(&self.limits), watch);
        ticker.finish();
        let answer = found?;
        if self.json {
            output::print_json(&answer)
        } else {
            output::print(&text::capacity(&scenario, &answer))
        }
    }

    fn curve(&self, scenario: &Checked) -> Result<(), Failure> {
        let cancel = interrupt::listen();
        let watch = Watch::quiet(&cancel);
        let limits = Limits {
            seconds: Limits::from(&self.limits).seconds.max(CURVE_SECONDS),
            ..Limits::from(&self.limits)
        };
        let curve = answer::capacity_curve(scenario, self.product.as_ref(), limits, watch)?;
        if self.json {
            output::print_json(&curve)
        } else {
            output::print(&text::curve(scenario, &curve))
        }
    }
}
