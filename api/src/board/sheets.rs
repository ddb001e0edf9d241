//! The prep sheet: which day and whose work, on to a page of paper.

use actix_web::{HttpResponse, web};
use askama::Template;
use chrono::{DateTime, FixedOffset, NaiveDate};
use scheduler::scenario::{Setup, SiteId};
use serde::Deserialize;
use strum::VariantArray;

use super::error_page::ErrorPage;
use super::page::{Nav, Shell, shown};
use super::principal::Principal;
use crate::app;
use crate::domain::roles::Role;
use crate::domain::work::FloorItem;
use crate::domain::{Refusal, time, work};
use crate::http::{Params, SitePath, TypedPath};
use crate::service::Service;
use crate::storage::{Connection, plans, publications, sites};
use crate::text::figures::duration;

#[derive(Template)]
#[template(path = "board/sheets.html")]
struct Page {
    shell: Shell,
    /// Where the sheet is; the API makes it.
    sheet: String,
    day: String,
    /// The day as people say it, and the days before and after it.
    title: String,
    before: String,
    after: String,
    rows: Vec<Row>,
    published: bool,
}

/// What a role has to do on the day.
struct Row {
    id: &'static str,
    name: &'static str,
    items: usize,
    from: String,
    to: String,
    hands: String,
}

/// Which day.
#[derive(Debug, Deserialize)]
pub(super) struct DayParams {
    #[serde(
        default,
        deserialize_with = "scheduler::scenario::instants::date_if_any"
    )]
    date: Option<NaiveDate>,
    #[serde(rename = "units")]
    _units: Option<String>,
}

pub(super) async fn read(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    Params(asked): Params<DayParams>,
) -> Result<HttpResponse, ErrorPage> {
    let page = service
        .store
        .read(move |conn| page(conn, &visitor, &site, asked.date))
        .await?;
    shown(200, &page)
}

fn page(
    conn: &mut Connection,
    visitor: &Principal,
    site: &SiteId,
    date: Option<NaiveDate>,
) -> Result<Page, Refusal> {
    let site = sites::load(conn, site)?;
    let today = time::now().with_timezone(&site.time_zone).date_naive();
    let published = publications::current(conn, &site.id, site.time_zone)?;
    let (mut day, mut rows) = (date.unwrap_or(today), Vec::new());
    if let Some(published) = &published {
        let made = plans::made(conn, published.plan)?;
        if date.is_none() {
            let plan = &made.plan;
            day = today.clamp(plan.start.date_naive(), plan.end.date_naive());
        }
        let setup = &made.scenario.setup;
        let floor = app::publication::floor_of_site(conn, &site, published)?;
        let calls: Vec<Call> = floor.iter().flat_map(|item| calls(setup, item)).collect();
        let roles = Role::VARIANTS.iter();
        rows = roles.filter_map(|role| row(*role, day, &calls)).collect();
    }
    let shell = Shell::of(visitor, &site, Nav::Sheets);
    let to = |day: Option<NaiveDate>| {
        day.map_or_else(String::new, |day| {
            format!("{}/sheets?date={day}", shell.base)
        })
    };
    Ok(Page {
        sheet: format!("/v1/sites/{}/sheet", site.id),
        title: visitor.units.locale.day(day),
        before: to(day.pred_opt()),
        after: to(day.succ_opt()),
        day: day.to_string(),
        rows,
        published: published.is_some(),
        shell,
    })
}

/// Somebody is needed: an item, or the later visit to one.
struct Call {
    role: Role,
    at: DateTime<FixedOffset>,
    hands_min: f64,
}

/// The calls of an item; hands of its later visit are needed then.
fn calls(setup: &Setup, floor: &FloorItem) -> Vec<Call> {
    let item = &floor.item;
    let role = Role::of(&item.step);
    let visit = work::later(setup, item);
    let later = visit.map_or(0.0, |visit| visit.hands_min);
    let first = Call {
        role,
        at: item.start,
        hands_min: (item.hands_min - later).max(0.0),
    };
    let due = visit.and_then(|visit| work::due(&visit, item, &floor.record));
    let last = due.map(|at| Call {
        role,
        at,
        hands_min: later,
    });
    std::iter::once(first).chain(last).collect()
}

/// What a role has to do on a day, if there is anything.
fn row(role: Role, day: NaiveDate, calls: &[Call]) -> Option<Row> {
    let of_it = |call: &&Call| call.role == role && call.at.date_naive() == day;
    let items: Vec<&Call> = calls.iter().filter(of_it).collect();
    let first = items.iter().map(|call| call.at).min()?;
    let last = items.iter().map(|call| call.at).max()?;
    let hands: f64 = items.iter().map(|call| call.hands_min).sum();
    Some(Row {
        id: role.into_str(),
        name: role.title(),
        items: items.len(),
        from: first.format("%H:%M").to_string(),
        to: last.format("%H:%M").to_string(),
        hands: if hands > 0.0 {
            duration(hands)
        } else {
            "–".to_owned()
        },
    })
}
