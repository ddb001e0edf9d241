//! Sites.

use actix_web::http::header::LOCATION;
use actix_web::{HttpResponse, get, post, put, web};
use scheduler::scenario::Site;
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::app;
use crate::domain::access::Actor;
use crate::domain::{Refusal, Revision};
use crate::http::{Body, Precondition, SitePath, TypedPath, answering, etag};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::sites;

problems! {
    ListProblems: Internal;
    CreateProblems: BadJson, SiteExists, BodyTooLarge, UnsupportedMediaType, Invalid, Internal;
    ReadProblems: BadPath, UnknownSite, Internal;
    ReplaceProblems: BadJson, BadPath, BadHeader, UnknownSite, ChangedSince, BodyTooLarge,
        UnsupportedMediaType, Invalid, PreconditionRequired, Internal;
}

/// The sites there are.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct SiteList {
    /// The sites, by id.
    sites: Vec<Site>,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(list_sites)
        .service(create_site)
        .service(read_site)
        .service(replace_site);
}

/// List the sites you may see.
#[utoipa::path(
    tag = "sites",
    extensions(("x-anywhere" = json!(true))),
    responses((status = 200, description = "The sites, by id.", body = SiteList), ListProblems)
)]
#[get("/v1/sites")]
pub(crate) async fn list_sites(
    service: web::Data<Service>,
    actor: Actor,
) -> Result<HttpResponse, Problem> {
    let sites = service
        .store
        .read(move |conn| app::sites::list(conn, &actor))
        .await?;
    Ok(HttpResponse::Ok().json(SiteList { sites }))
}

/// Create a site.
#[utoipa::path(
    tag = "sites",
    security(("key" = ["admin"])),
    request_body(content = Site, description = "The facts of the place; it chooses the id."),
    responses(
        (status = 201, description = "The site as it was stored.", body = Site, headers(
            ("Location" = String, description = "Path of the site."),
            ("ETag" = String, description = "Its revision, for If-Match."),
        )),
        CreateProblems
    )
)]
#[post("/v1/sites")]
pub(crate) async fn create_site(
    service: web::Data<Service>,
    Body(site): Body<Site>,
) -> Result<HttpResponse, Problem> {
    let tell = |site: &Site| {
        HttpResponse::Created()
            .insert_header((LOCATION, format!("/v1/sites/{}", site.id)))
            .insert_header(etag(Revision::FIRST))
            .json(site)
    };
    answering(
        &service.store,
        move |conn| app::sites::create(conn, site),
        tell,
    )
    .await
}

/// Read a site.
#[utoipa::path(
    tag = "sites",
    params(SitePath),
    responses(
        (status = 200, description = "The site.", body = Site, headers(
            ("ETag" = String, description = "Its revision, for If-Match."),
        )),
        ReadProblems
    )
)]
#[get("/v1/sites/{site}")]
pub(crate) async fn read_site(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
) -> Result<HttpResponse, Problem> {
    let found = service
        .store
        .read(move |conn| sites::find(conn, &site)?.ok_or(Refusal::UnknownSite(site)))
        .await?;
    Ok(HttpResponse::Ok()
        .insert_header(etag(found.revision))
        .json(found.document))
}

/// Replace a site's facts.
#[utoipa::path(
    tag = "sites",
    params(
        SitePath,
        ("If-Match" = String, Header, description = "The ETag that was read, or *.", example = "\"1\"")
    ),
    request_body(content = Site, description = "The facts of the place; the id stays."),
    responses(
        (status = 200, description = "The site as it was stored.", body = Site, headers(
            ("ETag" = String, description = "Its new revision."),
        )),
        ReplaceProblems
    )
)]
#[put("/v1/sites/{site}")]
pub(crate) async fn replace_site(
    service: web::Data<Service>,
    TypedPath(SitePath { site: id }): TypedPath<SitePath>,
    Precondition(expected): Precondition,
    Body(site): Body<Site>,
) -> Result<HttpResponse, Problem> {
    let revision = app::sites::replace(&service.store, id, expected, &site).await?;
    Ok(HttpResponse::Ok().insert_header(etag(revision)).json(site))
}
