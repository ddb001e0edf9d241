//! Publication: which plan the floor works by, and which it worked by before.

use std::num::NonZeroU32;

use actix_web::{HttpRequest, HttpResponse, get, post, web};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

use super::PlanPath;
use crate::app::publication::{floor_of_site, publish, published};
use crate::domain::Refusal;
use crate::domain::page::PageSize;
use crate::domain::publications::{Publication, PublicationRequest};
use crate::domain::work::FloorItem;
use crate::http::{Body, Params, SitePath, TypedPath};
use crate::problem::{Problem, problems};
use crate::response_cache;
use crate::routes::changed;
use crate::service::Service;
use crate::storage::{publications, sites};

problems! {
    PublishProblems: BadJson, BadPath, UnknownPlan, PlanUnfinished, OtherPublished, Outdated,
        BodyTooLarge, UnsupportedMediaType, Invalid, Internal;
    ListProblems: BadPath, BadQuery, UnknownSite, Internal;
    CurrentProblems: BadPath, UnknownSite, NothingPublished, Internal;
}

/// A site's publications.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct PublicationList {
    /// The publications, latest first.
    publications: Vec<Publication>,
    /// What to send as `before` for the publications that follow; none at the end.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, example = 3)]
    next: Option<i64>,
}

/// Where to go on in the list.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct PageParams {
    /// Publications with a smaller number than this.
    #[param(value_type = Option<i64>, minimum = 1, maximum = 4294967295_i64, example = 3)]
    before: Option<NonZeroU32>,
    /// At most this many publications; 100 where nothing is said.
    #[param(value_type = Option<u16>, minimum = 1, maximum = 500, example = 50)]
    limit: Option<PageSize>,
}

/// What there is to do at a site.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct FloorList {
    /// The plan that is published.
    published: Publication,
    /// Work that was begun under plans published before and is not over, then the work of the
    /// published plan, each in the order of planned starts.
    work: Vec<FloorItem>,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(publish_plan)
        .service(list_publications)
        .service(read_published)
        .service(list_site_work);
}

/// Publish a plan: it is the one the floor works by from now on.
///
/// One plan is published at a time; it takes the place of the one before. A replanning can only be
/// published in place of the plan it was made from, and takes over what was recorded there since
/// about work that is still to come. Publishing the published plan again changes nothing.
#[utoipa::path(
    tag = "plans",
    params(PlanPath),
    request_body(content = PublicationRequest, description = "Who publishes it, and in whose place."),
    responses(
        (status = 200, description = "The plan is published.", body = Publication),
        PublishProblems
    )
)]
#[post("/v1/plans/{plan}/publish")]
pub(crate) async fn publish_plan(
    service: web::Data<Service>,
    TypedPath(PlanPath { plan }): TypedPath<PlanPath>,
    Body(request): Body<PublicationRequest>,
) -> Result<HttpResponse, Problem> {
    changed(&service, move |conn| publish(conn, plan, &request)).await
}

/// List a site's publications.
#[utoipa::path(
    tag = "plans",
    params(SitePath, PageParams),
    responses(
        (status = 200, description = "Publications, latest first.", body = PublicationList),
        ListProblems
    )
)]
#[get("/v1/sites/{site}/publications")]
pub(crate) async fn list_publications(
    service: web::Data<Service>,
    TypedPath(SitePath { site: id }): TypedPath<SitePath>,
    Params(PageParams { before, limit }): Params<PageParams>,
) -> Result<HttpResponse, Problem> {
    let limit = limit.unwrap_or_default();
    let before = before.map(|before| i64::from(before.get()));
    let mut found = service
        .store
        .read(move |conn| {
            let zone = sites::load(conn, &id)?.time_zone;
            let list = publications::list(conn, &id, before, limit.and_one(), zone)?;
            Ok::<_, Refusal>(list)
        })
        .await?;
    let next = limit.next(&mut found, |last| last.number);
    Ok(HttpResponse::Ok().json(PublicationList {
        publications: found,
        next,
    }))
}

/// Read which plan is published at a site.
#[utoipa::path(
    tag = "plans",
    params(SitePath),
    responses(
        (status = 200, description = "The publication.", body = Publication),
        CurrentProblems
    )
)]
#[get("/v1/sites/{site}/published")]
pub(crate) async fn read_published(
    service: web::Data<Service>,
    TypedPath(SitePath { site: id }): TypedPath<SitePath>,
) -> Result<HttpResponse, Problem> {
    let found = service
        .store
        .read(move |conn| {
            let site = sites::load(conn, &id)?;
            published(conn, &site)
        })
        .await?;
    Ok(HttpResponse::Ok().json(found))
}

/// List what there is to do at a site: the published plan's work, and work begun before it.
#[utoipa::path(
    tag = "work",
    params(SitePath),
    responses((status = 200, description = "The work.", body = FloorList), CurrentProblems)
)]
#[get("/v1/sites/{site}/work")]
pub(crate) async fn list_site_work(
    service: web::Data<Service>,
    request: HttpRequest,
    TypedPath(SitePath { site: id }): TypedPath<SitePath>,
) -> Result<HttpResponse, Problem> {
    response_cache::answer(&service.store, &service.kept, &request, move |conn| {
        let site = sites::load(conn, &id)?;
        let published = published(conn, &site)?;
        let work = floor_of_site(conn, &site, &published)?;
        Ok(FloorList { published, work })
    })
    .await
}
