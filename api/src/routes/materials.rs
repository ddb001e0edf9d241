//! Materials of the published plan: what it uses up, when each runs out, what to order by when.

use actix_web::http::header::CONTENT_DISPOSITION;
use actix_web::{HttpResponse, get, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::app;
use crate::domain::materials::{MaterialList, MaterialNeed};
use crate::domain::{Refusal, cells};
use crate::http::{Params, SitePath, TypedPath};
use crate::problem::{Problem, problems};
use crate::service::Service;

problems! {
    MaterialProblems: BadPath, BadQuery, UnknownSite, NothingPublished, Invalid, Internal;
}

/// How long orders take.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct LeadParams {
    /// Hours from an order to its arrival, for everything but ice, for which the setup says it; 24
    /// where nothing is said.
    #[param(value_type = Option<u16>, minimum = 0, maximum = 720, example = 48)]
    lead_h: Option<u16>,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(list_materials).service(export_materials);
}

/// List what the published plan uses up, when each material runs out, and what to order by when.
#[utoipa::path(
    tag = "materials",
    params(SitePath, LeadParams),
    responses((status = 200, description = "The materials.", body = MaterialList), MaterialProblems)
)]
#[get("/v1/sites/{site}/materials")]
pub(crate) async fn list_materials(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    Params(params): Params<LeadParams>,
) -> Result<HttpResponse, Problem> {
    let found = app::materials::needed(&service.store, site, params.lead_h).await?;
    Ok(HttpResponse::Ok().json(found))
}

/// The same as CSV (RFC 4180): one line for each order, and one for each material with none.
#[utoipa::path(
    tag = "materials",
    params(SitePath, LeadParams),
    responses(
        (status = 200, description = "Columns: material, name, unit, uses, on_hand, arrives, \
            runs_out, order, packs, needed_by, order_by.",
            body = String, content_type = "text/csv"),
        MaterialProblems
    )
)]
#[get("/v1/sites/{site}/materials.csv")]
pub(crate) async fn export_materials(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    Params(params): Params<LeadParams>,
) -> Result<HttpResponse, Problem> {
    let found = app::materials::needed(&service.store, site, params.lead_h).await?;
    let text = csv(&found.materials).map_err(Refusal::internal)?;
    Ok(HttpResponse::Ok()
        .content_type("text/csv; charset=utf-8")
        .insert_header((
            CONTENT_DISPOSITION,
            "attachment; filename=\"materials.csv\"",
        ))
        .body(text))
}

fn csv(needs: &[MaterialNeed]) -> Result<Vec<u8>, Box<dyn std::error::Error + Send + Sync>> {
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record([
        "material",
        "name",
        "unit",
        "uses",
        "on_hand",
        "arrives",
        "runs_out",
        "order",
        "packs",
        "needed_by",
        "order_by",
    ])?;
    for material in needs {
        let need = &material.need;
        let fixed = [
            cells::out(&need.material).into_owned(),
            cells::out(&material.name).into_owned(),
            cells::out(&need.unit).into_owned(),
            need.uses.to_string(),
            need.on_hand.to_string(),
            need.arrives.to_string(),
            need.runs_out.map_or_else(String::new, |at| at.to_rfc3339()),
        ];
        let none = [const { String::new() }; 4];
        let mut orders: Vec<[String; 4]> = material
            .orders
            .iter()
            .map(|order| {
                [
                    order.amount.to_string(),
                    order
                        .packs
                        .map_or_else(String::new, |packs| packs.to_string()),
                    order.needed_by.to_rfc3339(),
                    order.order_by.to_rfc3339(),
                ]
            })
            .collect();
        if orders.is_empty() {
            orders.push(none);
        }
        for order in orders {
            table.write_record(fixed.iter().chain(&order))?;
        }
    }
    Ok(table.into_inner()?)
}
