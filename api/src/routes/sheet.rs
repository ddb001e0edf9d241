//! The prep sheet: a day's work as a page to print.

use actix_web::http::header::CONTENT_SECURITY_POLICY;
use actix_web::{HttpResponse, get, web};
use chrono::NaiveDate;
use scheduler::scenario::SiteId;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::app::publication::{floor_of_site, published};
use crate::domain::roles::Role;
use crate::domain::{Refusal, time};
use crate::http::{Params, SitePath, TypedPath};
use crate::problem::{Problem, problems};
use crate::service::Service;
use crate::storage::{Connection, plans, sites};
use crate::text::sheet::{Sheet, sheet};
use crate::text::units::Units;

problems! {
    SheetProblems: BadPath, BadQuery, UnknownSite, NothingPublished, Internal;
}

/// A size of paper.
#[derive(Debug, Clone, Copy, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Paper {
    /// 210 by 297 mm (ISO 216).
    A4,
    /// 8.5 by 11 inches.
    Letter,
}

/// Units a person reads.
#[derive(Debug, Clone, Copy, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum UnitSystem {
    /// L, °C, kg, bar.
    Metric,
    /// US gal, °F, lb, psi.
    Us,
}

/// Which day, whose work, and on what.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct SheetParams {
    /// The day by the site's clock; today where nothing is said.
    #[param(value_type = Option<String>, format = Date, example = "2026-06-02")]
    #[serde(
        default,
        deserialize_with = "scheduler::scenario::instants::date_if_any"
    )]
    date: Option<NaiveDate>,
    /// Only the work of this role.
    #[param(inline, example = "pot")]
    role: Option<Role>,
    /// The paper; A4 where nothing is said.
    #[param(inline, example = "a4")]
    paper: Option<Paper>,
    /// The units; metric where nothing is said.
    #[param(inline, example = "metric")]
    units: Option<UnitSystem>,
}

pub(super) fn configure(app: &mut ServiceConfig<'_>) {
    app.service(read_sheet);
}

/// Print a day's work of the published plan: one page style, nothing fetched from elsewhere.
///
/// Print it, or save it as PDF, from any browser.
#[utoipa::path(
    tag = "work",
    params(SitePath, SheetParams),
    responses(
        (status = 200, description = "A page in HTML.", body = String, content_type = "text/html"),
        SheetProblems
    )
)]
#[get("/v1/sites/{site}/sheet")]
pub(crate) async fn read_sheet(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    Params(params): Params<SheetParams>,
) -> Result<HttpResponse, Problem> {
    let page = service
        .store
        .read(move |conn| printed(conn, &site, &params))
        .await?;
    Ok(HttpResponse::Ok()
        .content_type("text/html; charset=utf-8")
        .insert_header((
            CONTENT_SECURITY_POLICY,
            "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; \
             frame-ancestors 'none'",
        ))
        .body(page))
}

fn printed(conn: &mut Connection, site: &SiteId, params: &SheetParams) -> Result<String, Refusal> {
    let site = sites::load(conn, site)?;
    let published = published(conn, &site)?;
    let made = plans::made(conn, published.plan)?;
    let today = time::now().with_timezone(&site.time_zone).date_naive();
    let work = floor_of_site(conn, &site, &published)?;
    let about = Sheet {
        site: &site.name,
        date: params.date.unwrap_or(today),
        role: params.role,
        paper: match params.paper {
            Some(Paper::Letter) => "letter",
            _ => "A4",
        },
        units: match params.units {
            Some(UnitSystem::Us) => Units::US,
            _ => Units::METRIC,
        },
        published: &published,
        scenario: &made.scenario,
    };
    sheet(&about, &work).map_err(Refusal::internal)
}
