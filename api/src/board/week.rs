//! The week: a plan as one picture, in the page and on its own.

use actix_web::http::header::{CACHE_CONTROL, CONTENT_SECURITY_POLICY};
use actix_web::{HttpResponse, web};
use askama::Template;
use chrono::{DateTime, Duration, FixedOffset, NaiveDate, NaiveTime, TimeZone};
use chrono_tz::Tz;
use scheduler::replay;
use scheduler::scenario::SiteId;
use serde::Deserialize;

use super::error_page::ErrorPage;
use super::fields::{LOCAL, local_time};
use super::go_to;
use super::page::{Nav, Shell, shown};
use super::picture::{Picture, RibbonText, View, draw};
use super::plans::PlanOfSite;
use super::principal::Principal;
use super::work::plan_of;
use crate::domain::plans::{PlanId, PlanState};
use crate::domain::{Refusal, time};
use crate::http::{Params, SitePath, TypedPath};
use crate::service::Service;
use crate::storage::plans::Made;
use crate::storage::{Connection, plans, publications, sites};

/// The most that is drawn at once: eight weeks.
const LONGEST_H: i64 = 56 * 24;

/// Which stretch to show. Without a start, the plan's first week.
#[derive(Debug, Default, Deserialize)]
pub(super) struct WeekParams {
    /// A date, or a date and time, on the site's clock.
    from: Option<String>,
    days: Option<u8>,
    hours: Option<u16>,
    /// Asked for by whoever wants other units in a picture that stands alone.
    #[serde(rename = "units")]
    _units: Option<String>,
}

/// A way of looking closer or from farther away.
struct Zoom {
    name: &'static str,
    href: String,
    here: bool,
}

#[derive(Template)]
#[template(path = "board/week.html")]
struct Page {
    shell: Shell,
    plan: PlanId,
    title: String,
    published: bool,
    svg: String,
    alone: String,
    before: String,
    after: String,
    zooms: Vec<Zoom>,
    rows: Vec<RibbonText>,
    work: String,
}

/// On to the plan the floor works by, or the newest one.
pub(super) async fn current(
    service: web::Data<Service>,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
) -> Result<HttpResponse, ErrorPage> {
    let asked = site.clone();
    let plan = service
        .store
        .read(move |conn| shown_plan(conn, &asked))
        .await?;
    Ok(match plan {
        Some(plan) => go_to(format!("/board/{site}/plans/{plan}/week")),
        None => go_to(format!("/board/{site}/today")),
    })
}

/// The published plan, or the newest that is made.
pub(super) fn shown_plan(conn: &mut Connection, site: &SiteId) -> Result<Option<PlanId>, Refusal> {
    let zone = sites::load(conn, site)?.time_zone;
    if let Some(published) = publications::current(conn, site, zone)? {
        return Ok(Some(published.plan));
    }
    let known = plans::list(conn, site, None, 50, zone)?;
    let made = known.into_iter().find(|plan| plan.state == PlanState::Done);
    Ok(made.map(|plan| plan.id))
}

pub(super) async fn read(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<PlanOfSite>,
    Params(params): Params<WeekParams>,
) -> Result<HttpResponse, ErrorPage> {
    let page = service
        .store
        .read(move |conn| page(conn, &visitor, &path, &params))
        .await?;
    shown(200, &page)
}

fn page(
    conn: &mut Connection,
    visitor: &Principal,
    path: &PlanOfSite,
    params: &WeekParams,
) -> Result<Page, Refusal> {
    let made = plan_of(conn, &path.site, path.plan)?;
    let zone = made.site.time_zone;
    let current = publications::current(conn, &path.site, zone)?;
    let view = view(&made, params)?;
    let base = format!("/board/{}/plans/{}", path.site, path.plan);
    let work = format!("{base}/work");
    let (svg, rows) = drawn(&made, visitor, view, Some(work.clone()))?;
    let length = view.to - view.from;
    let link = |from: DateTime<FixedOffset>, hours: i64| {
        format!(
            "{base}/week?from={}&hours={hours}",
            from.with_timezone(&zone).format(LOCAL)
        )
    };
    let hours = length.num_hours();
    let zooms = [("Week", 168), ("Day", 24), ("6 hours", 6)].map(|(name, wanted)| Zoom {
        name,
        href: link(start_of(&made, view, wanted), wanted),
        here: hours == wanted,
    });
    Ok(Page {
        plan: path.plan,
        title: format!(
            "{} to {}",
            visitor.units.day_and_time(view.from),
            visitor.units.day_and_time(view.to)
        ),
        published: current.is_some_and(|publication| publication.plan == path.plan),
        svg,
        alone: format!(
            "{base}/week.svg?from={}&hours={hours}",
            view.from.with_timezone(&zone).format(LOCAL)
        ),
        before: link(view.from - length, hours),
        after: link(view.to, hours),
        zooms: zooms.into(),
        rows,
        work,
        shell: Shell::of(visitor, &made.site, Nav::Week),
    })
}

/// Where a closer look begins: at the present if the plan holds it, at midnight for a day.
fn start_of(made: &Made, view: View, hours: i64) -> DateTime<FixedOffset> {
    let now = time::now().with_timezone(&view.zone).fixed_offset();
    let inside = now > view.from && now < view.to;
    match hours {
        168 => made.plan.start,
        24 => midnight(
            if inside {
                now
            } else {
                view.from + Duration::hours(2)
            },
            view.zone,
        ),
        _ if inside => now - Duration::hours(1),
        _ => view.from.max(made.plan.start),
    }
}

fn midnight(at: DateTime<FixedOffset>, zone: Tz) -> DateTime<FixedOffset> {
    let date = at.with_timezone(&zone).date_naive();
    let found = zone
        .from_local_datetime(&date.and_time(NaiveTime::MIN))
        .earliest();
    found.map_or(at, |found| found.fixed_offset())
}

/// The stretch that is asked for.
fn view(made: &Made, params: &WeekParams) -> Result<View, Refusal> {
    let zone = made.site.time_zone;
    let from = match &params.from {
        None => made.plan.start,
        Some(text) => match text.parse::<NaiveDate>() {
            Ok(date) => local_time("from", &format!("{date}T00:00"), zone)?,
            Err(_) => local_time("from", text, zone)?,
        },
    };
    let whole = (made.plan.end - made.plan.start).num_hours().min(168);
    let hours = match (params.hours, params.days) {
        (Some(hours), _) => i64::from(hours),
        (None, Some(days)) => i64::from(days) * 24,
        (None, None) => whole,
    };
    if !(1..=LONGEST_H).contains(&hours) {
        let what = format!("{hours} found; 1 to {LONGEST_H} are allowed");
        return Err(Refusal::field("hours", what));
    }
    Ok(View {
        from,
        to: from + Duration::hours(hours),
        zone,
    })
}

fn drawn(
    made: &Made,
    visitor: &Principal,
    view: View,
    links: Option<String>,
) -> Result<(String, Vec<RibbonText>), Refusal> {
    let checked = made.scenario.clone().check()?;
    let seen = replay::levels(&checked, &made.plan);
    let picture = Picture {
        scenario: &made.scenario,
        plan: &made.plan,
        seen: &seen,
        units: visitor.units,
        view,
        now: time::now().with_timezone(&view.zone).fixed_offset(),
        links,
    };
    Ok(draw(&picture))
}

/// The picture on its own, for printing and for other systems.
pub(super) async fn alone(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<PlanOfSite>,
    Params(params): Params<WeekParams>,
) -> Result<HttpResponse, ErrorPage> {
    let svg = service
        .store
        .read(move |conn| {
            let made = plan_of(conn, &path.site, path.plan)?;
            let view = view(&made, &params)?;
            Ok::<_, Refusal>(drawn(&made, &visitor, view, None)?.0)
        })
        .await?;
    Ok(HttpResponse::Ok()
        .content_type("image/svg+xml; charset=utf-8")
        .insert_header((CACHE_CONTROL, "private, no-cache"))
        .insert_header((CONTENT_SECURITY_POLICY, "default-src 'none'"))
        .body(svg))
}
