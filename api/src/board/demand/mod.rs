//! Demand: the week as a grid, edited in place, pasted from a spreadsheet; bookings beside forecasts.

mod grid;
mod paste;

use actix_web::{HttpResponse, web};
use askama::Template;
use chrono::{DateTime, Days, FixedOffset, NaiveDate, NaiveTime, TimeZone, Weekday};
use chrono_tz::Tz;
use scheduler::scenario::{DemandId, Site, SiteId};
use serde::Deserialize;

use super::error_page::{ErrorPage, Notice};
use super::fields::{Fields, LOCAL};
use super::go_to;
use super::page::{Nav, Shell, shown};
use super::principal::Principal;
use crate::app;
use crate::domain::demand::Range;
use crate::domain::setup::SetupDocument;
use crate::domain::tags::ExpectedTag;
use crate::domain::{Refusal, time};
use crate::http::{Params, SitePath, TypedPath};
use crate::service::Service;
use crate::storage::{Connection, demand, setup, sites};
use crate::text::units::Units;
use grid::{Booking, Row, bookings, changed, rows};

/// Which week.
#[derive(Debug, Clone, Default, Deserialize)]
pub(super) struct WeekParams {
    #[serde(
        default,
        deserialize_with = "scheduler::scenario::instants::date_if_any"
    )]
    from: Option<NaiveDate>,
    /// What was done, to be said once.
    done: Option<String>,
    #[serde(rename = "units")]
    _units: Option<String>,
}

#[derive(Template)]
#[template(path = "board/demand.html")]
struct Page {
    shell: Shell,
    from: NaiveDate,
    title: String,
    before: String,
    after: String,
    products: Vec<(String, String)>,
    rows: Vec<Row>,
    bookings: Vec<Booking>,
    unit: &'static str,
    new_due: String,
    pasted: String,
    done: String,
}

/// What a page is made of, besides who looks at it.
struct DemandContext {
    site: Site,
    setup: SetupDocument,
    from: NaiveDate,
    range: Range,
}

pub(super) async fn read(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    Params(params): Params<WeekParams>,
) -> Result<HttpResponse, ErrorPage> {
    let page = service
        .store
        .read(move |conn| {
            let known = known(conn, &site, params.from, visitor.units.locale.week_from)?;
            let page = page(conn, &visitor, known, None)?;
            Ok::<_, Refusal>(Page {
                done: params.done.unwrap_or_default(),
                ..page
            })
        })
        .await?;
    shown(200, &page)
}

fn known(
    conn: &mut Connection,
    site: &SiteId,
    from: Option<NaiveDate>,
    first: Weekday,
) -> Result<DemandContext, Refusal> {
    let site = sites::load(conn, site)?;
    let setup = setup::load(conn, &site.id)?.document;
    let zone = site.time_zone;
    let from = match from {
        Some(from) => from,
        None => week_with(first_wanted(conn, &site.id, zone)?, first),
    };
    let to = from.checked_add_days(Days::new(7)).unwrap_or(from);
    Ok(DemandContext {
        range: Range {
            from: Some(midnight(from, zone)),
            to: Some(midnight(to, zone)),
        },
        site,
        setup,
        from,
    })
}

/// The first day from now on that something is wanted on; today, if nothing is.
fn first_wanted(conn: &mut Connection, site: &SiteId, zone: Tz) -> Result<NaiveDate, Refusal> {
    let now = time::now();
    let first = demand::first_due(conn, site, now, zone)?;
    Ok(first.map_or(now.with_timezone(&zone).date_naive(), |due| {
        due.date_naive()
    }))
}

/// The first day of the week that a date is in.
fn week_with(date: NaiveDate, first: Weekday) -> NaiveDate {
    date.week(first).checked_first_day().unwrap_or(date)
}

fn midnight(date: NaiveDate, zone: Tz) -> DateTime<FixedOffset> {
    let naive = date.and_time(NaiveTime::MIN);
    let found = zone.from_local_datetime(&naive).earliest();
    found.map_or_else(
        || naive.and_utc().fixed_offset(),
        |found| found.fixed_offset(),
    )
}

fn page(
    conn: &mut Connection,
    visitor: &Principal,
    known: DemandContext,
    notice: Option<Notice>,
) -> Result<Page, Refusal> {
    let zone = known.site.time_zone;
    let lines = demand::list(conn, &known.site.id, known.range, zone)?;
    let products = &known.setup.setup.products;
    let shell = Shell::of(visitor, &known.site, Nav::Demand).saying(notice);
    let week = |days: i64| {
        let date = known.from + chrono::Duration::days(days);
        format!("{}/demand?from={date}", shell.base)
    };
    let evening = lines.last().map_or_else(
        || midnight(known.from, zone) + chrono::Duration::hours(17),
        |line| line.due.with_timezone(&zone).fixed_offset(),
    );
    Ok(Page {
        from: known.from,
        title: format!("Week of {}", visitor.units.locale.day_of_year(known.from)),
        before: week(-7),
        after: week(7),
        products: products
            .iter()
            .map(|p| (p.id.to_string(), p.name.clone()))
            .collect(),
        rows: rows(&lines, products, visitor.units),
        bookings: bookings(&lines, products, visitor.units),
        unit: visitor.units.litres(1.0).unit,
        new_due: evening.format(LOCAL).to_string(),
        pasted: String::new(),
        done: String::new(),
        shell,
    })
}

/// The week a form is about.
fn week_of(fields: &Fields) -> Option<NaiveDate> {
    fields.get("from")?.parse().ok()
}

pub(super) async fn edit(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let (week, first) = (week_of(&fields), visitor.units.locale.week_from);
    let (asked, units) = (site.clone(), visitor.units);
    let done = service
        .store
        .write(move |conn| {
            let known = known(conn, &asked, week, first)?;
            store_grid(conn, &known, &fields, units)
        })
        .await;
    answer(&service, visitor, site, week, done, String::new()).await
}

/// Puts and takes away the lines whose cells were changed.
fn store_grid(
    conn: &mut Connection,
    known: &DemandContext,
    fields: &Fields,
    units: Units,
) -> Result<String, Refusal> {
    let site = &known.site.id;
    let lines = demand::list(conn, site, known.range, known.site.time_zone)?;
    let change = changed(
        fields,
        &lines,
        &known.setup.setup.products,
        units,
        known.site.time_zone,
    )?;
    app::demand::change(conn, (site, &known.setup), &change.put, &change.gone)?;
    Ok(format!("{} changed", change.put.len() + change.gone.len()))
}

pub(super) async fn paste(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let (week, first) = (week_of(&fields), visitor.units.locale.week_from);
    let text = fields.get("table").unwrap_or_default().to_owned();
    let (asked, units, table) = (site.clone(), visitor.units, text.clone());
    let only_look = fields.get("only_look").is_some();
    let read = move |conn: &mut Connection| {
        let known = known(conn, &asked, week, first)?;
        let zone = known.site.time_zone;
        let mut lines = paste::read(&table, &known.setup.setup.products, units, zone)?;
        if !paste::names_lines(&table) {
            app::demand::take_places(conn, &asked, &mut lines, zone)?;
        }
        Ok::<_, Refusal>((known, lines))
    };
    if only_look {
        let looked = service
            .store
            .read(move |conn| {
                let (known, lines) = read(conn)?;
                let new = app::demand::look(conn, &known.site.id, &lines)?;
                Ok::<_, Refusal>(format!(
                    "{} lines can be read: {new} new, {} replace one that is there. Nothing was stored.",
                    lines.len(),
                    lines.len() - new
                ))
            })
            .await;
        return answer(&service, visitor, site, week, looked, text).await;
    }
    let done = service
        .store
        .write(move |conn| {
            let (known, lines) = read(conn)?;
            app::demand::import(conn, &known.site.id, &lines)?;
            Ok::<_, Refusal>(format!("{} lines stored", lines.len()))
        })
        .await;
    let kept = if done.is_ok() { String::new() } else { text };
    answer(&service, visitor, site, week, done, kept).await
}

pub(super) async fn remove(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let week = week_of(&fields);
    let asked = site.clone();
    let done = service
        .store
        .write(move |conn| {
            let id = DemandId::try_from(fields.get("line").unwrap_or_default().to_owned())
                .map_err(|error| Refusal::field("line", error.to_string()))?;
            app::demand::remove(conn, &asked, &id, &ExpectedTag::Unstated)?;
            Ok::<_, Refusal>(format!("{id} taken away"))
        })
        .await;
    answer(&service, visitor, site, week, done, String::new()).await
}

/// Back to the grid; or the grid with what is wrong, and with what was pasted.
async fn answer(
    service: &Service,
    visitor: Principal,
    site: SiteId,
    week: Option<NaiveDate>,
    done: Result<String, Refusal>,
    pasted: String,
) -> Result<HttpResponse, ErrorPage> {
    let (status, notice, said) = match done {
        Ok(said) if pasted.is_empty() => {
            let mut query = form_urlencoded::Serializer::new(String::new());
            if let Some(week) = week {
                query.append_pair("from", &week.to_string());
            }
            query.append_pair("done", &said);
            return Ok(go_to(format!("/board/{site}/demand?{}", query.finish())));
        }
        Ok(said) => (200, None, said),
        Err(refusal @ (Refusal::UnknownSite(_) | Refusal::NoSetup(_))) => {
            return Err(refusal.into());
        }
        Err(refusal) => {
            let (status, notice) = Notice::of(refusal);
            (status, Some(notice), String::new())
        }
    };
    let page = service
        .store
        .read(move |conn| {
            let known = known(conn, &site, week, visitor.units.locale.week_from)?;
            page(conn, &visitor, known, notice)
        })
        .await?;
    let page = Page {
        pasted,
        done: said,
        ..page
    };
    shown(status, &page)
}
