//! How far a plan is, as server-sent events.

use std::sync::Arc;
use std::time::Duration;

use actix_web::{HttpResponse, get, web};
use serde::Serialize;
use utoipa::ToSchema;

use super::PlanPath;
use crate::domain::plans::{PlanId, PlanProgress, PlanState};
use crate::http::{Standing, TypedPath, sse};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::plans;

problems! {
    ProgressProblems: BadPath, UnknownPlan, Internal;
}

/// How often to look.
const LOOK: Duration = Duration::from_millis(200);

/// How far a plan is.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct PlanStep {
    /// How far it has come.
    state: PlanState,
    /// What the search knows so far.
    progress: PlanProgress,
}

/// Follow the search for a plan, as server-sent events.
///
/// A `progress` message is sent whenever something is new: a better plan, a better bound. The last
/// message is `end`, when the plan is done, failed or cancelled, and then the stream ends. The data of
/// each is a `PlanStep`.
#[utoipa::path(
    tag = "plans",
    params(PlanPath),
    responses(
        (status = 200, description = "A stream that ends when the search does.",
            body = PlanStep, content_type = "text/event-stream"),
        ProgressProblems
    )
)]
#[get("/v1/plans/{plan}/progress")]
pub(crate) async fn stream_plan_progress(
    service: web::Data<Service>,
    standing: Standing,
    TypedPath(PlanPath { plan }): TypedPath<PlanPath>,
) -> Result<HttpResponse, Problem> {
    service
        .store
        .read(move |conn| plans::summary(conn, plan))
        .await?;
    let service = service.into_inner();
    let reader = sse::Reader::new(service.clone(), standing);
    let follow = Follow {
        service,
        plan,
        told: None,
        over: false,
    };
    Ok(sse::reply(sse::stream(reader, follow, next)))
}

struct Follow {
    service: Arc<Service>,
    plan: PlanId,
    told: Option<PlanStep>,
    over: bool,
}

async fn next(mut follow: Follow) -> Option<(sse::Step, Follow)> {
    if follow.over {
        return None;
    }
    let plan = follow.plan;
    let found = follow
        .service
        .store
        .read(move |conn| plans::summary(conn, plan))
        .await;
    let summary = found.ok()?;
    let own = follow.service.jobs.progress(plan);
    let step = PlanStep {
        state: summary.state,
        progress: own.unwrap_or(summary.progress),
    };
    follow.over = !matches!(step.state, PlanState::Queued | PlanState::Running);
    if !follow.over && follow.told.as_ref().is_some_and(|told| told.same(&step)) {
        actix_web::rt::time::sleep(LOOK).await;
        return Some((sse::Step::Quiet, follow));
    }
    let name = if follow.over { "end" } else { "progress" };
    let text = sse::message(None, name, &step).ok()?;
    follow.told = Some(step);
    Some((sse::Step::Say(text), follow))
}

impl PlanStep {
    /// Whether nothing is new but the time.
    fn same(&self, other: &Self) -> bool {
        let known = |step: &Self| (step.state, step.progress.best, step.progress.bound);
        known(self) == known(other)
    }
}
