//! Plans: those there are, a new one, and what one says.

pub(super) mod compare;
pub(super) mod confidence;
pub(super) mod one;
mod variations;
pub(super) mod what_if;

pub(super) use one::PlanOfSite;

use actix_web::{HttpResponse, web};
use askama::Template;
use chrono::{DateTime, FixedOffset, NaiveTime, TimeZone, Utc};
use chrono_tz::Tz;
use scheduler::scenario::{Grid, SiteId};

use super::error_page::{ErrorPage, Notice};
use super::fields::{Fields, LOCAL};
use super::go_to;
use super::page::{Nav, Shell, shown};
use super::principal::Principal;
use crate::app;
use crate::domain::plans::{PlanId, PlanRequest, PlanResource, PlanState};
use crate::domain::{Refusal, time};
use crate::http::{SitePath, TypedPath};
use crate::service::Service;
use crate::storage::{Connection, demand, plans, publications, sites};

/// A plan in the list.
struct Row {
    id: PlanId,
    made: String,
    days: String,
    state: &'static str,
    published: bool,
    replans: bool,
    score: String,
}

#[derive(Template)]
#[template(path = "board/plans.html")]
struct Page {
    shell: Shell,
    rows: Vec<Row>,
    start: String,
    days: u8,
}

pub(super) async fn read(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
) -> Result<HttpResponse, ErrorPage> {
    let page = service
        .store
        .read(move |conn| page(conn, &visitor, &site, None))
        .await?;
    shown(200, &page)
}

fn page(
    conn: &mut Connection,
    visitor: &Principal,
    site: &SiteId,
    notice: Option<Notice>,
) -> Result<Page, Refusal> {
    let site = sites::load(conn, site)?;
    let known = plans::list(conn, &site.id, None, 50, site.time_zone)?;
    let published = publications::current(conn, &site.id, site.time_zone)?;
    let published = published.map(|publication| publication.plan);
    let units = visitor.units;
    let rows = known.into_iter().map(|plan| Row {
        made: units.day_and_time(plan.created_at),
        days: format!(
            "{} from {}",
            crate::text::figures::counted(u32::from(plan.request.days), "day"),
            units.day_and_time(
                plan.request
                    .start
                    .with_timezone(&site.time_zone)
                    .fixed_offset()
            )
        ),
        state: plan.state.into_str(),
        published: published == Some(plan.id),
        replans: plan.replans.is_some(),
        score: match (plan.state, plan.progress.best) {
            (PlanState::Done, Some(best)) => units.fixed(best, 0),
            _ => String::new(),
        },
        id: plan.id,
    });
    Ok(Page {
        rows: rows.collect(),
        start: usual_start(conn, &site.id, site.time_zone)?
            .format(LOCAL)
            .to_string(),
        days: 7,
        shell: Shell::of(visitor, &site, Nav::Plans).saying(notice),
    })
}

/// When a new plan would begin: six in the morning of the first day from now on that something is
/// wanted on; the next full hour, if that is past.
pub(super) fn usual_start(
    conn: &mut Connection,
    site: &SiteId,
    zone: Tz,
) -> Result<DateTime<FixedOffset>, Refusal> {
    let now = time::now();
    let first = demand::first_due(conn, site, now, zone)?;
    let hour = full_hour(now, zone);
    let Some(first) = first else {
        return Ok(hour);
    };
    // A week begins on its Monday, where that is still to come.
    let date = first.with_timezone(&zone).date_naive();
    let six = NaiveTime::from_hms_opt(6, 0, 0).unwrap_or_default();
    let morning = zone.from_local_datetime(&date.and_time(six)).earliest();
    Ok(morning.map_or(hour, |morning| morning.fixed_offset().max(hour)))
}

fn full_hour(now: DateTime<Utc>, zone: Tz) -> DateTime<FixedOffset> {
    let local = now.with_timezone(&zone) + chrono::Duration::minutes(59);
    let naive = local.naive_local();
    let hour = NaiveTime::from_hms_opt(chrono::Timelike::hour(&naive), 0, 0).unwrap_or_default();
    let found = zone.from_local_datetime(&naive.date().and_time(hour));
    found.latest().unwrap_or(local).fixed_offset()
}

/// Queues the plan a form asks for.
async fn queued(service: &Service, site: &SiteId, fields: Fields) -> Result<PlanResource, Refusal> {
    let asked = site.clone();
    let zone = service
        .store
        .read(move |conn| Ok::<_, Refusal>(sites::load(conn, &asked)?.time_zone))
        .await?;
    let request = stretch(&fields, zone)?;
    app::queue::fits(service, site, &request).await?;
    let (asked, admission) = (site.clone(), service.admission());
    service
        .store
        .write(move |conn| app::plans::queue(conn, &admission, &asked, &request))
        .await
}

pub(super) async fn request(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    match queued(&service, &site, fields).await {
        Ok(plan) => {
            service.jobs.wake();
            Ok(go_to(format!("/board/{site}/plans/{}", plan.summary.id)))
        }
        Err(refusal @ Refusal::UnknownSite(_)) => Err(refusal.into()),
        Err(refusal) => {
            let (status, notice) = Notice::of(refusal);
            let page = service
                .store
                .read(move |conn| page(conn, &visitor, &site, Some(notice)))
                .await?;
            shown(status, &page)
        }
    }
}

/// Which days a form asks about.
pub(super) fn stretch(fields: &Fields, zone: Tz) -> Result<PlanRequest, Refusal> {
    let start = fields.time("start", zone)?;
    let start = start.ok_or_else(|| Refusal::field("start", "nothing found; a time is needed"))?;
    Ok(PlanRequest {
        start,
        days: fields.number("days")?.unwrap_or(7),
        grid_minutes: Grid::Half,
        time_limit_s: None,
        gap: None,
    })
}
