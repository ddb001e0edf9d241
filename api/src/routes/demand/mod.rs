//! Demand: what is wanted, and when.

mod table;

use actix_web::{HttpResponse, delete, get, put, web};
use chrono::{DateTime, FixedOffset};
use scheduler::scenario::{Demand, DemandId, SiteId};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::app;
use crate::domain::Refusal;
use crate::domain::demand::{DemandLine, Range};
use crate::http::{Body, IfMatch, Params, SitePath, TypedPath, tag_of};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::{demand, sites};

problems! {
    ListProblems: BadPath, BadQuery, UnknownSite, Invalid, Internal;
    ReplaceProblems: BadJson, BadPath, BadQuery, UnknownSite, BodyTooLarge, UnsupportedMediaType,
        Invalid, Internal;
    ReadProblems: BadPath, UnknownSite, UnknownDemand, Internal;
    PutProblems: BadJson, BadPath, BadHeader, UnknownSite, ChangedSince, BodyTooLarge,
        UnsupportedMediaType, Invalid, Internal;
    DeleteProblems: BadPath, BadHeader, UnknownSite, UnknownDemand, ChangedSince, Internal;
}

/// Lines of demand.
#[derive(Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct DemandList {
    /// The lines, by service and id.
    #[schema(max_items = 2000)]
    demand: Vec<Demand>,
}

/// A path that names a line of demand.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Path)]
pub(crate) struct LinePath {
    /// The site's id.
    #[param(value_type = String, pattern = "^[a-z0-9_-]{1,64}$", example = "harbour-bar")]
    site: SiteId,
    /// The caller's own reference for the line, unique within the site.
    #[param(value_type = String, pattern = "^[a-z0-9_-]{1,64}$", example = "sat-plain")]
    line: DemandId,
}

/// A range of services to list.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct RangeParams {
    /// Services from this instant on (RFC 3339; a plus sign is written %2B).
    #[param(value_type = Option<String>, format = DateTime, example = "2026-06-01T00:00:00Z")]
    #[serde(
        default,
        deserialize_with = "scheduler::scenario::instants::instant_if_any"
    )]
    from: Option<DateTime<FixedOffset>>,
    /// Services before this instant (RFC 3339; a plus sign is written %2B).
    #[param(value_type = Option<String>, format = DateTime, example = "2026-06-08T00:00:00Z")]
    #[serde(
        default,
        deserialize_with = "scheduler::scenario::instants::instant_if_any"
    )]
    to: Option<DateTime<FixedOffset>>,
}

/// A range of services to replace.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ReplacedRangeParams {
    /// Services from this instant on (RFC 3339; a plus sign is written %2B).
    #[param(value_type = String, format = DateTime, example = "2026-06-01T00:00:00Z")]
    #[serde(deserialize_with = "scheduler::scenario::instants::instant")]
    from: DateTime<FixedOffset>,
    /// Services before this instant (RFC 3339; a plus sign is written %2B).
    #[param(value_type = String, format = DateTime, example = "2026-06-08T00:00:00Z")]
    #[serde(deserialize_with = "scheduler::scenario::instants::instant")]
    to: DateTime<FixedOffset>,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(list_demand)
        .service(replace_demand)
        .service(table::export_demand)
        .service(table::import_demand)
        .service(read_demand_line)
        .service(put_demand_line)
        .service(delete_demand_line);
}

/// List a site's demand.
#[utoipa::path(
    tag = "demand",
    params(SitePath, RangeParams),
    responses(
        (status = 200, description = "The lines in the range, by service and id.", body = DemandList),
        ListProblems
    )
)]
#[get("/v1/sites/{site}/demand")]
pub(crate) async fn list_demand(
    service: web::Data<Service>,
    TypedPath(SitePath { site: id }): TypedPath<SitePath>,
    Params(RangeParams { from, to }): Params<RangeParams>,
) -> Result<HttpResponse, Problem> {
    let lines = in_range(&service, id, Range { from, to }).await?;
    Ok(HttpResponse::Ok().json(DemandList { demand: lines }))
}

/// Replace all demand in a range.
///
/// Every line of the site whose service lies in the range is taken away and those of the body are
/// put in its place. A line of the body that stood outside the range moves in.
#[utoipa::path(
    tag = "demand",
    params(SitePath, ReplacedRangeParams),
    request_body(content = DemandList, description = "All lines that are to be in the range."),
    responses(
        (status = 200, description = "The lines now in the range.", body = DemandList),
        ReplaceProblems
    )
)]
#[put("/v1/sites/{site}/demand")]
pub(crate) async fn replace_demand(
    service: web::Data<Service>,
    TypedPath(SitePath { site: id }): TypedPath<SitePath>,
    Params(ReplacedRangeParams { from, to }): Params<ReplacedRangeParams>,
    Body(DemandList { demand: lines }): Body<DemandList>,
) -> Result<HttpResponse, Problem> {
    let (from, to) = (Some(from), Some(to));
    let range = Range { from, to }.check()?;
    let lines = service
        .store
        .write(move |conn| app::demand::replace(conn, &id, range, &lines))
        .await?;
    Ok(HttpResponse::Ok().json(DemandList { demand: lines }))
}

/// Read one line of demand.
#[utoipa::path(
    tag = "demand",
    params(LinePath),
    responses(
        (status = 200, description = "The line.", body = Demand, headers(
            ("ETag" = String, description = "What it says now, for If-Match."),
        )),
        ReadProblems
    )
)]
#[get("/v1/sites/{site}/demand/{line}")]
pub(crate) async fn read_demand_line(
    service: web::Data<Service>,
    TypedPath(LinePath { site, line: id }): TypedPath<LinePath>,
) -> Result<HttpResponse, Problem> {
    let line = service
        .store
        .read(move |conn| {
            let zone = sites::load(conn, &site)?.time_zone;
            demand::find(conn, &site, &id, zone)?.ok_or(Refusal::UnknownDemand(id))
        })
        .await?;
    Ok(HttpResponse::Ok().insert_header(tag_of(&line)?).json(line))
}

/// Put one line of demand, under the caller's own reference.
#[utoipa::path(
    tag = "demand",
    params(
        LinePath,
        ("If-Match" = Option<String>, Header, example = "\"9f86d081884c7d65\"",
            description = "The ETag that was read, or *: the line is put only if it is still so.")
    ),
    request_body(content = DemandLine, description = "The whole line, as it is to be."),
    responses(
        (status = 200, description = "The line that replaced the one before.", body = Demand,
            headers(("ETag" = String, description = "What it says now."))),
        (status = 201, description = "The new line.", body = Demand,
            headers(("ETag" = String, description = "What it says now."))),
        PutProblems
    )
)]
#[put("/v1/sites/{site}/demand/{line}")]
pub(crate) async fn put_demand_line(
    service: web::Data<Service>,
    TypedPath(LinePath { site, line: id }): TypedPath<LinePath>,
    IfMatch(expected): IfMatch,
    Body(line): Body<DemandLine>,
) -> Result<HttpResponse, Problem> {
    let stored = line.named(id);
    let (new, line) = service
        .store
        .write(move |conn| app::demand::put(conn, &site, stored, &expected))
        .await?;
    let mut response = if new {
        HttpResponse::Created()
    } else {
        HttpResponse::Ok()
    };
    Ok(response.insert_header(tag_of(&line)?).json(line))
}

/// Take a line of demand away.
#[utoipa::path(
    tag = "demand",
    params(
        LinePath,
        ("If-Match" = Option<String>, Header, example = "\"9f86d081884c7d65\"",
            description = "The ETag that was read, or *: the line goes only if it is still so.")
    ),
    responses((status = 204, description = "The line is gone."), DeleteProblems)
)]
#[delete("/v1/sites/{site}/demand/{line}")]
pub(crate) async fn delete_demand_line(
    service: web::Data<Service>,
    TypedPath(LinePath { site, line }): TypedPath<LinePath>,
    IfMatch(expected): IfMatch,
) -> Result<HttpResponse, Problem> {
    service
        .store
        .write(move |conn| app::demand::remove(conn, &site, &line, &expected))
        .await?;
    Ok(HttpResponse::NoContent().finish())
}

/// The lines in a range, by service and id.
async fn in_range(service: &Service, id: SiteId, range: Range) -> Result<Vec<Demand>, Refusal> {
    let range = range.check()?;
    service
        .store
        .read(move |conn| {
            let site = sites::load(conn, &id)?;
            Ok::<_, Refusal>(demand::list(conn, &id, range, site.time_zone)?)
        })
        .await
}
