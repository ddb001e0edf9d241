//! Demand as a table (CSV).

use std::future::ready;

use actix_web::error::ErrorInternalServerError;
use actix_web::http::header::CONTENT_DISPOSITION;
use actix_web::{Error, HttpMessage, HttpRequest, HttpResponse, get, post, web};
use futures_util::stream::{self, StreamExt};
use scheduler::scenario::{Demand, SiteId};
use serde::Deserialize;
use utoipa::IntoParams;

use super::RangeParams;
use crate::app;
use crate::domain::Refusal;
use crate::domain::access::Actor;
use crate::domain::demand::Range;
use crate::domain::demand::table::{self, TableOutcome};
use crate::http::{HttpState, Params, SitePath, TypedPath, answering, while_it_arrives};
use crate::problem::{Kind, Problem, problems};
use crate::service::Service;
use crate::storage::{Connection, demand, sites};

problems! {
    ExportProblems: BadPath, BadQuery, UnknownSite, Invalid, Internal;
    ImportProblems: BadPath, BadQuery, UnknownSite, BodyTooLarge, UnsupportedMediaType, Invalid,
        Internal;
}

/// Lines that are read at a time.
const LINES: i64 = 500;

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
///
/// It is sent while it is read, 500 lines at a time: a line that is changed meanwhile is there as it
/// was or as it is. If reading fails on the way, the answer breaks off without its end.
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
    TypedPath(SitePath { site: id }): TypedPath<SitePath>,
    Params(RangeParams { from, to }): Params<RangeParams>,
) -> Result<HttpResponse, Problem> {
    let range = Range { from, to }.check()?;
    let mut export = Export {
        service,
        site: id,
        range,
        last: None,
    };
    // What cannot be begun is refused; what fails later breaks off.
    let (first, more) = export.part(true).await?;
    let later = stream::unfold(more.then_some(export), |export| async {
        let mut export = export?;
        match export.part(false).await {
            Ok((part, more)) => Some((Ok(part), more.then_some(export))),
            Err(refusal) => {
                tracing::error!(cause = %refusal, "a table breaks off");
                Some((Err(ErrorInternalServerError("the table breaks off")), None))
            }
        }
    });
    let parts = stream::once(ready(Ok::<_, Error>(first))).chain(later);
    Ok(HttpResponse::Ok()
        .content_type("text/csv; charset=utf-8; header=present")
        .insert_header((CONTENT_DISPOSITION, "attachment; filename=\"demand.csv\""))
        .streaming(Box::pin(parts)))
}

/// A table on its way out.
struct Export {
    service: web::Data<Service>,
    site: SiteId,
    range: Range,
    last: Option<Demand>,
}

impl Export {
    /// The next part, and whether there may be more.
    async fn part(&mut self, first: bool) -> Result<(web::Bytes, bool), Refusal> {
        let (id, range, last) = (self.site.clone(), self.range, self.last.take());
        let lines = self.service.store.read(move |conn| {
            let zone = sites::load(conn, &id)?.time_zone;
            let page = demand::page(conn, &id, range, last.as_ref(), LINES, zone);
            Ok::<_, Refusal>(page?)
        });
        let lines = lines.await?;
        let more = i64::try_from(lines.len()) == Ok(LINES);
        let part = table::write(&lines, first)?;
        self.last = lines.into_iter().next_back();
        Ok((part.into(), more))
    }
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
    state: web::Data<HttpState>,
    request: HttpRequest,
    actor: Actor,
    TypedPath(SitePath { site: id }): TypedPath<SitePath>,
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
    let place = state.uploads.place(&actor.id).await?;
    let lines = while_it_arrives(body, table::read).await?;
    drop(place);
    let count = lines.len();
    // A dry run only reads, so it is no change in the audit trail either.
    let tell = move |new: &usize| {
        HttpResponse::Ok().json(TableOutcome {
            dry_run,
            lines: count,
            new: *new,
            replaced: count - new,
        })
    };
    if dry_run {
        let look = move |conn: &mut Connection| app::demand::look(conn, &id, &lines);
        return Ok(tell(&service.store.read(look).await?));
    }
    let import = move |conn: &mut Connection| app::demand::import(conn, &id, &lines);
    answering(&service.store, import, tell).await
}
