//! Demand as a table (CSV).

use actix_web::http::header::CONTENT_DISPOSITION;
use actix_web::{HttpMessage, HttpRequest, HttpResponse, get, post, web};
use serde::Deserialize;
use utoipa::IntoParams;

use super::{RangeParams, SitePath, in_range};
use crate::domain::Refusal;
use crate::domain::demand::table::{self, TableOutcome};
use crate::domain::demand::{Range, check_lines};
use crate::http::{At, Params, while_it_arrives};
use crate::problem::{Kind, Problem, problems};
use crate::service::Service;
use crate::storage::{demand, setup, sites};

problems! {
    ExportProblems: BadPath, BadQuery, UnknownSite, Invalid, Internal;
    ImportProblems: BadPath, BadQuery, UnknownSite, BodyTooLarge, UnsupportedMediaType, Invalid,
        Internal;
}

/// How to read a table.
#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ImportParams {
    /// Only look: say what would change and what is wrong, and store nothing.
    #[serde(default)]
    #[param(default = false, example = true)]
    dry_run: bool,
}

/// Fetch a site's demand as a table (CSV).
#[utoipa::path(
    tag = "demand",
    params(SitePath, RangeParams),
    responses(
        (status = 200, description = "The lines in the range, with a header.", body = String,
            content_type = "text/csv"),
        ExportProblems
    )
)]
#[get("/v1/sites/{site}/demand.csv")]
pub(crate) async fn export_demand(
    service: web::Data<Service>,
    At(SitePath { site: id }): At<SitePath>,
    Params(RangeParams { from, to }): Params<RangeParams>,
) -> Result<HttpResponse, Problem> {
    let lines = in_range(&service, id, Range { from, to }).await?;
    Ok(HttpResponse::Ok()
        .content_type("text/csv; charset=utf-8; header=present")
        .insert_header((CONTENT_DISPOSITION, "attachment; filename=\"demand.csv\""))
        .body(table::write(&lines)?))
}

/// Put lines of demand from a table (CSV), all or none.
///
/// The first line names the columns: `id`, `product`, `due` (RFC 3339), `litres`, `priority`,
/// `kind`, and `note` if there are notes, in any order. A line whose id is there already replaces
/// it. What is wrong is told by the number of the line.
#[utoipa::path(
    tag = "demand",
    params(SitePath, ImportParams),
    request_body(content = String, content_type = "text/csv", description = "The table.",
        example = json!("id,product,due,litres,priority,kind,note\n\
            sat-plain,plain-soda,2026-06-06T17:00:00+01:00,62,3,forecast,\n")),
    responses(
        (status = 200, description = "What has changed, or would.", body = TableOutcome),
        ImportProblems
    )
)]
#[post("/v1/sites/{site}/demand.csv")]
pub(crate) async fn import_demand(
    service: web::Data<Service>,
    request: HttpRequest,
    At(SitePath { site: id }): At<SitePath>,
    Params(ImportParams { dry_run }): Params<ImportParams>,
    body: web::Payload,
) -> Result<HttpResponse, Problem> {
    if !request.content_type().eq_ignore_ascii_case("text/csv") {
        let what = format!(
            "{} found in Content-Type; text/csv is allowed",
            request.content_type()
        );
        return Err(Problem::new(Kind::UnsupportedMediaType, what));
    }
    let lines = while_it_arrives(request.headers(), body, table::read).await?;
    let always = Range {
        from: None,
        to: None,
    };
    let count = lines.len();
    // A dry run only reads, so it is no change in the audit trail either.
    let new = if dry_run {
        let read = move |conn: &mut crate::storage::Connection| {
            sites::load(conn, &id)?;
            let setup = setup::latest(conn, &id)?.map(|found| found.document);
            check_lines(&lines, always, setup.as_ref())?;
            Ok::<_, Refusal>(count - demand::known(conn, &id, &lines)?)
        };
        service.store.read(read).await?
    } else {
        let write = move |conn: &mut crate::storage::Connection| {
            sites::load(conn, &id)?;
            let setup = setup::latest(conn, &id)?.map(|found| found.document);
            check_lines(&lines, always, setup.as_ref())?;
            let known = demand::known(conn, &id, &lines)?;
            demand::replace(conn, &id, always, &lines)?;
            Ok::<_, Refusal>(count - known)
        };
        service.store.write(write).await?
    };
    Ok(HttpResponse::Ok().json(TableOutcome {
        dry_run,
        lines: count,
        new,
        replaced: count - new,
    }))
}
