//! The work of a plan.

use actix_web::{HttpResponse, get, web};
use chrono::{DateTime, FixedOffset};
use scheduler::plan::WorkItem;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::PlanPath;
use crate::domain::Refusal;
use crate::domain::demand::Range;
use crate::http::{At, Params};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::plans;

problems! {
    WorkProblems: BadPath, BadQuery, UnknownPlan, PlanUnfinished, Invalid, Internal;
}

/// Work items of a plan.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct WorkList {
    /// The items, in the order they start.
    work: Vec<WorkItem>,
}

/// Which work to list.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct WorkParams {
    /// Work that starts at this instant or later (RFC 3339; a plus sign is written %2B).
    #[param(value_type = Option<String>, format = DateTime, example = "2026-06-02T00:00:00Z")]
    from: Option<DateTime<FixedOffset>>,
    /// Work that starts before this instant (RFC 3339; a plus sign is written %2B).
    #[param(value_type = Option<String>, format = DateTime, example = "2026-06-03T00:00:00Z")]
    to: Option<DateTime<FixedOffset>>,
    /// Only work of this kind.
    #[param(inline, example = "boil")]
    kind: Option<WorkKind>,
}

/// A kind of work.
#[derive(Debug, Clone, Copy, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum WorkKind {
    /// Heat a pot, chill it, and have its water filled.
    Boil,
    /// Fill kegs.
    Fill,
    /// Dose, purge and gas kegs.
    Gas,
    /// Take kegs to the tap.
    Tap,
    /// Pour away what has been on tap too long.
    Stale,
    /// Take in emptied kegs.
    Return,
    /// Empty kegs that have passed their shelf life.
    Discard,
    /// Wash and sanitise kegs.
    Wash,
    /// Take in ordered ice.
    Ice,
    /// Couple full CO2 cylinders in place of empty ones.
    Cylinder,
}

impl WorkKind {
    fn as_str(self) -> &'static str {
        match self {
            Self::Boil => "boil",
            Self::Fill => "fill",
            Self::Gas => "gas",
            Self::Tap => "tap",
            Self::Stale => "stale",
            Self::Return => "return",
            Self::Discard => "discard",
            Self::Wash => "wash",
            Self::Ice => "ice",
            Self::Cylinder => "cylinder",
        }
    }
}

/// List a plan's work.
#[utoipa::path(
    tag = "plans",
    params(PlanPath, WorkParams),
    responses(
        (status = 200, description = "Work items, in the order they start.", body = WorkList),
        WorkProblems
    )
)]
#[get("/v1/plans/{plan}/work")]
pub(crate) async fn list_plan_work(
    service: web::Data<Service>,
    At(PlanPath { plan: id }): At<PlanPath>,
    Params(WorkParams { from, to, kind }): Params<WorkParams>,
) -> Result<HttpResponse, Problem> {
    let range = Range { from, to }.check()?;
    let plan = service
        .store
        .read(move |conn| plans::load(conn, id))
        .await?;
    let state = plan.summary.state;
    let made = plan.result.ok_or(Refusal::PlanUnfinished { id, state })?;
    let wanted = |item: &WorkItem| {
        range.holds(item.start) && kind.is_none_or(|kind| kind.as_str() == item.step.kind())
    };
    let work = made.work.into_iter().filter(wanted).collect();
    Ok(HttpResponse::Ok().json(WorkList { work }))
}
