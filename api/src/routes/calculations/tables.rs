//! The limits, rules and cautions there are, as data.

use actix_web::{HttpResponse, get};
use model::limits::{CAUTIONS, LIMITS, Limit, RULES, Rule};
use serde::Serialize;
use utoipa::ToSchema;

use crate::app::calculations::{CautionNote, EvidenceNote};

/// A number not to be passed.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct LimitRow {
    /// What is limited.
    #[schema(example = "CO2 in room air, mean of eight hours")]
    what: &'static str,
    /// The highest value allowed.
    #[schema(example = 5000.0)]
    value: f64,
    /// Its unit.
    #[schema(example = "ppm")]
    unit: &'static str,
    /// Where it is written.
    #[schema(example = "29 CFR 1910.1000 Table Z-1")]
    source: &'static str,
    /// Whether the source was read or remembered.
    evidence: EvidenceNote,
}

/// A rule without a number.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct RuleRow {
    /// The section that holds it.
    #[schema(example = "3-202.16")]
    section: &'static str,
    /// What it asks for.
    #[schema(example = "ice used as food or to cool food is made from drinking water")]
    says: &'static str,
    /// Where it is written.
    #[schema(example = "FDA Food Code")]
    source: &'static str,
    /// Whether the source was read or remembered.
    evidence: EvidenceNote,
}

/// What must not be passed, and what to mind.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct LimitTables {
    /// Limits with a number.
    limits: Vec<LimitRow>,
    /// Rules without one.
    rules: Vec<RuleRow>,
    /// What to mind at the work itself.
    cautions: Vec<CautionNote>,
}

impl From<Limit> for LimitRow {
    fn from(limit: Limit) -> Self {
        Self {
            what: limit.what,
            value: limit.value,
            unit: limit.unit,
            source: limit.source,
            evidence: limit.evidence.into(),
        }
    }
}

impl From<Rule> for RuleRow {
    fn from(rule: Rule) -> Self {
        Self {
            section: rule.section,
            says: rule.says,
            source: rule.source,
            evidence: rule.evidence.into(),
        }
    }
}

/// List limits, rules and cautions with their sources.
///
/// Local code, the stamp on a vessel and licensed practice go first.
#[utoipa::path(
    tag = "calculations",
    extensions(("x-anywhere" = json!(true))),
    responses((status = 200, description = "All of them.", body = LimitTables))
)]
#[get("/v1/limits")]
pub(crate) async fn list_limits() -> HttpResponse {
    HttpResponse::Ok().json(LimitTables {
        limits: LIMITS.into_iter().map(LimitRow::from).collect(),
        rules: RULES.into_iter().map(RuleRow::from).collect(),
        cautions: CAUTIONS.into_iter().map(CautionNote::from).collect(),
    })
}
