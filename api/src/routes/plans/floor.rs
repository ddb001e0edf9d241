//! Work on the floor: items are started, finished, failed and skipped, with readings.

use actix_web::{HttpResponse, get, post, web};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::app::recording::{log_only, record, shown};
use crate::domain::Refusal;
use crate::domain::readings::ReadingReport;
use crate::domain::trace::{Direction, TraceItem, TraceStep, trace};
use crate::domain::work::{
    Deed, FailureReport, FloorItemReadings, ItemPath, RecordedWork, WorkReport,
};
use crate::http::{Body, Params, TypedPath};
use crate::problem::{Problem, problems};
use crate::routes::changed;
use crate::service::Service;
use crate::storage::plans::lineage;
use crate::storage::{plans, readings};

problems! {
    ReadProblems: BadPath, UnknownPlan, UnknownWork, PlanUnfinished, Internal;
    TraceProblems: BadPath, BadQuery, UnknownPlan, UnknownWork, PlanUnfinished, Internal;
    ReportProblems: BadJson, BadPath, UnknownPlan, UnknownWork, PlanUnfinished, NotPublished,
        WrongWorkState, BodyTooLarge, UnsupportedMediaType, Invalid, Internal;
    LogProblems: BadJson, BadPath, UnknownPlan, UnknownWork, PlanUnfinished, NotPublished,
        BodyTooLarge, UnsupportedMediaType, Invalid, Internal;
}

/// Which way to follow.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct TraceParams {
    /// `back` to the water, where nothing is said, or `forward` to the kegs.
    #[param(inline, example = "back")]
    direction: Option<Direction>,
}

/// A history, step by step.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct TraceList {
    /// The item asked about first, then everything it was made from, or everything it went into.
    steps: Vec<TraceStep>,
}

/// Readings to be logged.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ReadingReports {
    /// What was measured.
    #[schema(min_items = 1, max_items = 100)]
    readings: Vec<ReadingReport>,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(read_work)
        .service(start_work)
        .service(finish_work)
        .service(fail_work)
        .service(skip_work)
        .service(log_readings)
        .service(trace_work);
}

/// Read a work item, what became of it, and what was measured.
#[utoipa::path(
    tag = "work",
    params(ItemPath),
    responses((status = 200, description = "The item.", body = FloorItemReadings), ReadProblems)
)]
#[get("/v1/plans/{plan}/work/{item}")]
pub(crate) async fn read_work(
    service: web::Data<Service>,
    TypedPath(path): TypedPath<ItemPath>,
) -> Result<HttpResponse, Problem> {
    let found = service
        .store
        .read(move |conn| {
            let made = plans::made(conn, path.plan)?;
            shown(conn, &made, &path)
        })
        .await?;
    Ok(HttpResponse::Ok().json(found))
}

/// Say that a work item was started.
///
/// Work of the published plan is recorded. A repeat that leaves the time out or says the same
/// changes nothing and is answered alike.
#[utoipa::path(
    tag = "work",
    params(ItemPath),
    request_body(content = WorkReport, description = "When, by whom, and what was measured."),
    responses(
        (status = 200, description = "The item as it is recorded.", body = FloorItemReadings),
        ReportProblems
    ),
    security(("key" = ["floor"]))
)]
#[post("/v1/plans/{plan}/work/{item}/start")]
pub(crate) async fn start_work(
    service: web::Data<Service>,
    TypedPath(path): TypedPath<ItemPath>,
    Body(report): Body<WorkReport>,
) -> Result<HttpResponse, Problem> {
    report_on(&service, path, RecordedWork::of(Deed::Start, report)).await
}

/// Say that a work item is over.
///
/// Work that nobody said was started can be finished too. Work of a plan that was published before
/// can be finished if it was started. What it did to the stock is booked in the ledger with the
/// plan's amounts, once, under the reference `work:PLAN/ITEM`; `GET /v1/sites/{site}/stock` says
/// what is booked and what is not.
#[utoipa::path(
    tag = "work",
    params(ItemPath),
    request_body(content = WorkReport, description = "When, by whom, and what was measured."),
    responses(
        (status = 200, description = "The item as it is recorded.", body = FloorItemReadings),
        ReportProblems
    ),
    security(("key" = ["floor"]))
)]
#[post("/v1/plans/{plan}/work/{item}/finish")]
pub(crate) async fn finish_work(
    service: web::Data<Service>,
    TypedPath(path): TypedPath<ItemPath>,
    Body(report): Body<WorkReport>,
) -> Result<HttpResponse, Problem> {
    report_on(&service, path, RecordedWork::of(Deed::Finish, report)).await
}

/// Say that a work item failed.
///
/// What it was to make is lost: a boil's water, what was in the kegs; kegs being washed stay dirty.
/// A replanning takes that into account, and the stock ledger books it.
#[utoipa::path(
    tag = "work",
    params(ItemPath),
    request_body(content = FailureReport, description = "When, by whom, and what was measured."),
    responses(
        (status = 200, description = "The item as it is recorded.", body = FloorItemReadings),
        ReportProblems
    ),
    security(("key" = ["floor"]))
)]
#[post("/v1/plans/{plan}/work/{item}/fail")]
pub(crate) async fn fail_work(
    service: web::Data<Service>,
    TypedPath(path): TypedPath<ItemPath>,
    Body(report): Body<FailureReport>,
) -> Result<HttpResponse, Problem> {
    report_on(&service, path, RecordedWork::failure(report)).await
}

/// Say that a work item was not done and will not be done as planned.
#[utoipa::path(
    tag = "work",
    params(ItemPath),
    request_body(content = WorkReport, description = "When, by whom, and what was measured."),
    responses(
        (status = 200, description = "The item as it is recorded.", body = FloorItemReadings),
        ReportProblems
    ),
    security(("key" = ["floor"]))
)]
#[post("/v1/plans/{plan}/work/{item}/skip")]
pub(crate) async fn skip_work(
    service: web::Data<Service>,
    TypedPath(path): TypedPath<ItemPath>,
    Body(report): Body<WorkReport>,
) -> Result<HttpResponse, Problem> {
    report_on(&service, path, RecordedWork::of(Deed::Skip, report)).await
}

/// Log readings against a work item, whatever its state.
///
/// A reading that says exactly what one before says is not logged again.
#[utoipa::path(
    tag = "work",
    params(ItemPath),
    request_body(content = ReadingReports, description = "What was measured."),
    responses(
        (status = 200, description = "The item with its readings.", body = FloorItemReadings),
        LogProblems
    ),
    security(("key" = ["floor"]))
)]
#[post("/v1/plans/{plan}/work/{item}/readings")]
pub(crate) async fn log_readings(
    service: web::Data<Service>,
    TypedPath(path): TypedPath<ItemPath>,
    Body(ReadingReports { readings }): Body<ReadingReports>,
) -> Result<HttpResponse, Problem> {
    changed(&service, move |conn| log_only(conn, &path, readings)).await
}

/// Follow a keg back to its water, or a batch of water on to its kegs.
///
/// Plans that were replanned from each other are followed across. Where kegs were only counted
/// between two plans, `made_by` lists all work that may have made them.
#[utoipa::path(
    tag = "work",
    params(ItemPath, TraceParams),
    responses((status = 200, description = "The history.", body = TraceList), TraceProblems)
)]
#[get("/v1/plans/{plan}/work/{item}/trace")]
pub(crate) async fn trace_work(
    service: web::Data<Service>,
    TypedPath(path): TypedPath<ItemPath>,
    Params(TraceParams { direction }): Params<TraceParams>,
) -> Result<HttpResponse, Problem> {
    let direction = direction.unwrap_or(Direction::Back);
    let steps = service
        .store
        .read(move |conn| {
            let zone = plans::made(conn, path.plan)?.site.time_zone;
            let generations = lineage::generations(conn, path.plan)?;
            let start = TraceItem {
                plan: path.plan,
                item: path.item.clone(),
            };
            let found = trace(&generations, &start, direction);
            let mut steps = found.ok_or(Refusal::UnknownWork {
                plan: path.plan,
                item: path.item,
            })?;
            for step in &mut steps {
                step.readings = readings::of_item(conn, step.plan, &step.item.id, zone)?;
            }
            Ok::<_, Refusal>(steps)
        })
        .await?;
    Ok(HttpResponse::Ok().json(TraceList { steps }))
}

async fn report_on(
    service: &Service,
    path: ItemPath,
    told: RecordedWork,
) -> Result<HttpResponse, Problem> {
    changed(service, move |conn| record(conn, &path, &told)).await
}
