//! A site as one file.

use actix_web::http::header::{CONTENT_DISPOSITION, LOCATION};
use actix_web::{HttpResponse, get, post, web};
use scheduler::scenario::{Site, SiteId};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::app;
use crate::domain::bundle::SiteBundle;
use crate::http::{Body, Params, SitePath, TypedPath, answering};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::{Connection, sites};

problems! {
    ExportProblems: BadPath, UnknownSite, Internal;
    ImportProblems: BadJson, BadQuery, SiteExists, BodyTooLarge, UnsupportedMediaType, Invalid,
        Internal;
}

/// What a site is called where it is put in.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct ImportParams {
    /// Another id than in the file, to start another site from it.
    #[param(value_type = Option<String>, pattern = "^[a-z0-9_-]{1,64}$", example = "second-bar")]
    id: Option<SiteId>,
    /// Another name.
    #[param(max_length = 120, example = "Second bar")]
    name: Option<String>,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(export_site).service(import_site);
}

/// Take a site out as one file.
///
/// Its facts, setup, demand from now on, what is on hand, codes, and what is assumed. Plans, work,
/// readings and the ledger's history stay.
#[utoipa::path(
    tag = "sites",
    params(SitePath),
    responses(
        (status = 200, description = "The site.", body = SiteBundle),
        ExportProblems
    )
)]
#[get("/v1/sites/{site}/export")]
pub(crate) async fn export_site(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
) -> Result<HttpResponse, Problem> {
    let name = format!("attachment; filename=\"{site}.json\"");
    let bundle = service
        .store
        .read(move |conn| app::bundles::export(conn, &site))
        .await?;
    Ok(HttpResponse::Ok()
        .insert_header((CONTENT_DISPOSITION, name))
        .json(bundle))
}

/// Put a site in that was taken out, here or elsewhere, as a new site.
///
/// All of it is stored, or nothing.
#[utoipa::path(
    tag = "sites",
    security(("key" = ["admin"])),
    params(ImportParams),
    request_body(content = SiteBundle, description = "The file."),
    responses(
        (status = 201, description = "The site as it was stored.", body = Site, headers(
            ("Location" = String, description = "Path of the site."),
        )),
        ImportProblems
    )
)]
#[post("/v1/imports")]
pub(crate) async fn import_site(
    service: web::Data<Service>,
    Params(ImportParams { id, name }): Params<ImportParams>,
    Body(bundle): Body<SiteBundle>,
) -> Result<HttpResponse, Problem> {
    let import = move |conn: &mut Connection| {
        let site = app::bundles::import(conn, bundle.named(id, name))?;
        sites::load(conn, &site)
    };
    let tell = |site: &Site| {
        HttpResponse::Created()
            .insert_header((LOCATION, format!("/v1/sites/{}", site.id)))
            .json(site)
    };
    answering(&service.store, import, tell).await
}
