//! The work of a plan.

use actix_web::{HttpRequest, HttpResponse, get, web};
use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::PlanPath;
use crate::app::publication::floor;
use crate::domain::demand::Range;
use crate::domain::work::{FloorItem, WorkState};
use crate::http::{Params, TypedPath};
use crate::problem::{Problem, problems};
use crate::response_cache;
use crate::service::Service;

problems! {
    WorkProblems: BadPath, BadQuery, UnknownPlan, PlanUnfinished, Invalid, Internal;
}

/// Work items of a plan.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct WorkList {
    /// The items and what became of them, in the order they start.
    work: Vec<FloorItem>,
}

/// Which work to list.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct WorkParams {
    /// Work that starts at this instant or later (RFC 3339; a plus sign is written %2B).
    #[param(value_type = Option<String>, format = DateTime, example = "2026-06-02T00:00:00Z")]
    #[serde(
        default,
        deserialize_with = "scheduler::scenario::instants::instant_if_any"
    )]
    from: Option<DateTime<FixedOffset>>,
    /// Work that starts before this instant (RFC 3339; a plus sign is written %2B).
    #[param(value_type = Option<String>, format = DateTime, example = "2026-06-03T00:00:00Z")]
    #[serde(
        default,
        deserialize_with = "scheduler::scenario::instants::instant_if_any"
    )]
    to: Option<DateTime<FixedOffset>>,
    /// Only work of this kind.
    #[param(inline, example = "boil")]
    kind: Option<WorkKind>,
    /// Only work in this state.
    #[param(inline, example = "planned")]
    state: Option<WorkState>,
}

/// A kind of work.
#[derive(Debug, Clone, Copy, Serialize, Deserialize, ToSchema, strum::IntoStaticStr)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case", const_into_str)]
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

/// List a plan's work.
#[utoipa::path(
    tag = "work",
    params(PlanPath, WorkParams),
    responses(
        (status = 200, description = "Work items, in the order they start.", body = WorkList),
        WorkProblems
    )
)]
#[get("/v1/plans/{plan}/work")]
pub(crate) async fn list_plan_work(
    service: web::Data<Service>,
    request: HttpRequest,
    TypedPath(PlanPath { plan: id }): TypedPath<PlanPath>,
    Params(WorkParams {
        from,
        to,
        kind,
        state,
    }): Params<WorkParams>,
) -> Result<HttpResponse, Problem> {
    let range = Range { from, to }.check()?;
    response_cache::answer(&service.store, &service.kept, &request, move |conn| {
        let wanted = |floor: &FloorItem| {
            let item = &floor.item;
            range.holds(item.start)
                && kind.is_none_or(|kind| kind.into_str() == item.step.kind())
                && state.is_none_or(|state| state == floor.record.state)
        };
        let work = floor(conn, id)?.into_iter().filter(wanted).collect();
        Ok(WorkList { work })
    })
    .await
}
