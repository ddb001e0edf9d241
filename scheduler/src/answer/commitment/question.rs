//! The question, and its answer.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::answer::{Change, NoAnswer};
use crate::check::Checked;
use crate::plan::{Plan, Status};
use crate::recipe::goes_into;
use crate::scenario::quantities::DemandVolume;
use crate::scenario::{
    Demand, DemandId, DemandKind, KegType, KegTypeId, Priority, ProductId, Scenario,
};

/// The name of the line a commitment adds to what is wanted.
const LINE: &str = "commitment";

/// Can this be taken too?
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CommitmentQuestion {
    /// The product.
    pub product: ProductId,
    /// How much, in litres; this or `kegs` is needed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub litres: Option<DemandVolume>,
    /// How much, in full kegs, less what foam and lines take.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 500, example = 8)]
    pub kegs: Option<u16>,
    /// The keg type those kegs are counted in; the largest the product goes into, where none is
    /// named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub keg_type: Option<KegTypeId>,
    /// The service it is for (RFC 3339 with an offset).
    #[schema(value_type = String, format = DateTime, example = "2026-06-06T18:00:00+01:00")]
    #[serde(deserialize_with = "crate::scenario::instants::instant")]
    pub due: DateTime<FixedOffset>,
}

/// Whether something more can be taken, and what that means.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CommitmentAnswer {
    /// The answer.
    pub can: Can,
    /// The product.
    pub product: ProductId,
    /// The service asked about.
    #[schema(value_type = String, format = DateTime, example = "2026-06-06T18:00:00+01:00")]
    pub due: DateTime<FixedOffset>,
    /// Litres asked about.
    #[schema(minimum = 0, example = 143.6)]
    pub wanted_l: f64,
    /// The most found for that service with nobody else served less than before; at most what was
    /// asked about.
    #[schema(minimum = 0, example = 108.0)]
    pub most_l: f64,
    /// No plan gives more for that service without serving somebody else less.
    #[schema(minimum = 0, example = 110.2)]
    pub at_most_l: f64,
    /// The earliest service found at which all of it can be had with nobody else served less; none
    /// where none was found in the horizon.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub earliest: Option<DateTime<FixedOffset>>,
    /// All of it cannot be had before this, whatever is done; none where that is not within the
    /// horizon.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime)]
    pub not_before: Option<DateTime<FixedOffset>>,
    /// What it costs more than before, in hands, heat, ice, CO2 and washing, for what the plan
    /// below gives; in the site's currency.
    #[schema(example = 31.5)]
    pub costs_more: f64,
    /// Currency of that amount (ISO 4217).
    #[schema(example = "EUR")]
    pub currency: String,
    /// How well the plan below is proven.
    pub status: Status,
    /// Services that would be served less, if others must yield.
    pub touched: Vec<Touched>,
    /// Work that differs from the plan without it.
    pub changes: Vec<Change>,
    /// The plan with it: as much as can be had with nobody else served less; where `can` is
    /// `if_others_yield`, all of it.
    pub plan: Plan,
}

/// Whether something more can be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Can {
    /// Yes, and nobody else is served less.
    Yes,
    /// Only if the services named are served less.
    IfOthersYield,
    /// No: not all of it by then, whoever yields, as far as the search went; `at_most_l` is proven.
    No,
}

impl CommitmentAnswer {
    /// Whether the search came to an answer: a "no" is one only where it is proven that not all of
    /// it can be had then with nobody served less. Otherwise more time may find it.
    #[must_use]
    pub fn settled(&self) -> bool {
        let proven = self.at_most_l < self.wanted_l - super::NOTHING_L;
        self.can != Can::No || proven || self.not_before.is_some_and(|at| at > self.due)
    }
}

/// A service that would be served less.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Touched {
    /// The line of demand.
    pub demand: DemandId,
    /// Its product.
    pub product: ProductId,
    /// The service.
    #[schema(value_type = String, format = DateTime, example = "2026-06-06T17:00:00+01:00")]
    pub due: DateTime<FixedOffset>,
    /// Litres it is served without the commitment.
    #[schema(minimum = 0, example = 62.0)]
    pub before_l: f64,
    /// Litres it is served with it.
    #[schema(minimum = 0, example = 50.0)]
    pub after_l: f64,
}

/// The scenario with one line more.
pub(super) fn with_line(
    scenario: &Checked,
    question: &CommitmentQuestion,
    due: DateTime<FixedOffset>,
) -> Result<Checked, NoAnswer> {
    let mut more: Scenario = scenario.clone().into_inner();
    more.demand.push(line(scenario, question, due)?);
    more.check().map_err(|faults| NoAnswer::BadQuestion {
        field: "question".to_owned(),
        what: faults.to_string(),
    })
}

fn line(
    scenario: &Checked,
    question: &CommitmentQuestion,
    due: DateTime<FixedOffset>,
) -> Result<Demand, NoAnswer> {
    let refuse = |field: &str, what: String| NoAnswer::BadQuestion {
        field: field.to_owned(),
        what,
    };
    let taken = |id: &str| scenario.demand.iter().any(|line| line.id.as_str() == id);
    let mut name = LINE.to_owned();
    while taken(&name) {
        name.push('-');
    }
    let timeline = scenario.horizon.timeline(scenario.site.time_zone);
    if question.due.to_utc() < timeline.start() || question.due.to_utc() > timeline.end() {
        return Err(refuse(
            "due",
            format!(
                "{} found; {} to {} is allowed (inside the horizon)",
                question.due.to_rfc3339(),
                timeline.stamp(timeline.start()).to_rfc3339(),
                timeline.stamp(timeline.end()).to_rfc3339()
            ),
        ));
    }
    Ok(Demand {
        id: DemandId::parse(&name).map_err(|e| refuse("question", e.to_string()))?,
        product: question.product.clone(),
        due,
        litres: litres(scenario, question)?,
        priority: Priority::USUAL,
        kind: DemandKind::Booking,
        note: None,
    })
}

/// Litres asked about.
fn litres(scenario: &Scenario, question: &CommitmentQuestion) -> Result<DemandVolume, NoAnswer> {
    let refuse = |field: &str, what: String| NoAnswer::BadQuestion {
        field: field.to_owned(),
        what,
    };
    let products = &scenario.setup.products;
    let product = products.iter().find(|p| p.id == question.product);
    let product = product.ok_or_else(|| {
        let names: Vec<&str> = products.iter().map(|p| p.id.as_str()).collect();
        let id = &question.product;
        let names = names.join(", ");
        refuse(
            "product",
            format!("there is no product \"{id}\"; the setup has: {names}"),
        )
    })?;
    match (question.litres, question.kegs) {
        (Some(litres), None) => Ok(litres),
        (None, Some(kegs)) if (1..=500).contains(&kegs) => {
            let types = scenario.setup.keg_types.iter();
            let fits = types.filter(|keg| goes_into(product, keg));
            let named = |keg: &&KegType| question.keg_type.as_ref().is_none_or(|id| keg.id == *id);
            let largest = fits
                .filter(named)
                .max_by(|a, b| a.fill_l.litres().total_cmp(&b.fill_l.litres()));
            let keg = largest.ok_or_else(|| {
                let product = &question.product;
                refuse(
                    "keg_type",
                    format!("{product} goes into no such keg type of the setup"),
                )
            })?;
            let yields = keg.fill_l.litres() * (1.0 - scenario.policy.serving_loss.ratio());
            let litres = (yields * f64::from(kegs) * 100.0).floor() / 100.0;
            DemandVolume::new(litres).map_err(|e| refuse("kegs", e.to_string()))
        }
        (None, Some(kegs)) => Err(refuse(
            "kegs",
            format!("{kegs} found; 1 to 500 are allowed"),
        )),
        _ => Err(refuse(
            "litres",
            "one of `litres` and `kegs` is needed, and not both".to_owned(),
        )),
    }
}
