//! One work item: everything about it, and what can be said about it.

use actix_web::{HttpResponse, web};
use askama::Template;
use chrono_tz::Tz;
use scheduler::scenario::SiteId;
use serde::Deserialize;
use serde_json::json;

use super::cards::Card;
use super::error_page::{ErrorPage, Notice};
use super::fields::Fields;
use super::go_to;
use super::page::{Nav, Shell, shown};
use super::principal::Principal;
use crate::app;
use crate::domain::plans::PlanId;
use crate::domain::readings::ReadingReport;
use crate::domain::words::{Note, Who};
use crate::domain::work::{Deed, FailureReport, ItemPath, RecordedWork, WorkReport};
use crate::domain::{Refusal, time};
use crate::http::TypedPath;
use crate::service::Service;
use crate::storage::plans::Made;
use crate::storage::{Connection, plans, sites};
use crate::text::names::Names;
use crate::text::units::Units;
use scheduler::plan::WorkId;

/// A path that names a work item of a site's plan.
#[derive(Debug, Clone, Deserialize)]
pub(super) struct WorkPath {
    site: SiteId,
    plan: PlanId,
    item: WorkId,
}

impl WorkPath {
    fn item(&self) -> ItemPath {
        ItemPath {
            plan: self.plan,
            item: self.item.clone(),
        }
    }

    fn href(&self) -> String {
        format!(
            "/board/{}/plans/{}/work/{}",
            self.site, self.plan, self.item
        )
    }
}

/// A reading as it is listed.
struct Logged {
    at: String,
    kind: String,
    value: String,
    by: String,
    note: String,
}

#[derive(Template)]
#[template(path = "board/work.html")]
struct Page {
    shell: Shell,
    card: Card,
    logged: Vec<Logged>,
    is_boil: bool,
    /// What can be measured, and in which units it is offered.
    kinds: [(&'static str, &'static str); 8],
    units: Vec<(&'static str, &'static str)>,
    now: String,
}

pub(super) async fn read(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<WorkPath>,
) -> Result<HttpResponse, ErrorPage> {
    let page = service
        .store
        .read(move |conn| page(conn, &visitor, &path, None))
        .await?;
    shown(200, &page)
}

/// A plan, if it is one of this site's.
pub(super) fn plan_of(conn: &mut Connection, site: &SiteId, plan: PlanId) -> Result<Made, Refusal> {
    sites::load(conn, site)?;
    if plans::site_of(conn, plan)?.as_ref() != Some(site) {
        return Err(Refusal::UnknownPlan(plan));
    }
    plans::made(conn, plan)
}

fn page(
    conn: &mut Connection,
    visitor: &Principal,
    path: &WorkPath,
    notice: Option<Notice>,
) -> Result<Page, Refusal> {
    let made = plan_of(conn, &path.site, path.plan)?;
    let found = app::recording::shown(conn, &made, &path.item())?;
    let shell = Shell::of(visitor, &made.site, Nav::Today).saying(notice);
    let names = Names::of(&made.scenario).reading(visitor.units);
    let now = time::now()
        .with_timezone(&made.site.time_zone)
        .fixed_offset();
    let card = Card::of(&shell.base, &names, visitor.units, &found.item, now);
    let logged = found.readings.iter().map(|reading| Logged {
        at: visitor.units.day_and_time(reading.at),
        kind: reading.kind.into_str().replace('_', " "),
        value: format!(
            "{} {}",
            visitor.units.number(reading.value),
            reading.unit.symbol()
        ),
        by: reading.by.as_ref().map_or("", |by| by.as_str()).to_owned(),
        note: reading.note.as_ref().map_or("", |n| n.as_str()).to_owned(),
    });
    Ok(Page {
        logged: logged.collect(),
        is_boil: card.kind == "boil",
        kinds: KINDS,
        units: units(visitor.units),
        now: now.format(super::fields::LOCAL).to_string(),
        shell,
        card,
    })
}

/// What can be measured, as the API names it and as people do.
const KINDS: [(&str, &str); 8] = [
    ("temperature", "Temperature"),
    ("pressure", "Pressure (gauge)"),
    ("volume", "Volume"),
    ("weight", "Weight"),
    ("total_chlorine", "Total chlorine"),
    ("free_chlorine", "Free chlorine"),
    ("carbonation", "CO2 in the drink"),
    ("oxygen", "Oxygen in the water"),
];

/// Units of readings, those that somebody reads first.
fn units(read: Units) -> Vec<(&'static str, &'static str)> {
    const METRIC: [(&str, &str); 4] = [("c", "°C"), ("bar", "bar"), ("l", "L"), ("kg", "kg")];
    const US: [(&str, &str); 4] = [("f", "°F"), ("psi", "psi"), ("us_gal", "gal"), ("lb", "lb")];
    let (first, then) = if read.is_us() {
        (US, METRIC)
    } else {
        (METRIC, US)
    };
    let other = [
        ("mg_per_l", "mg/L"),
        ("g_per_l", "g/L"),
        ("volumes", "volumes of CO2"),
    ];
    first.into_iter().chain(then).chain(other).collect()
}

pub(super) async fn start(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<WorkPath>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    report(&service, visitor, path, fields, Deed::Start).await
}

pub(super) async fn finish(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<WorkPath>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    report(&service, visitor, path, fields, Deed::Finish).await
}

pub(super) async fn fail(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<WorkPath>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    report(&service, visitor, path, fields, Deed::Fail).await
}

pub(super) async fn skip(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<WorkPath>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    report(&service, visitor, path, fields, Deed::Skip).await
}

/// Records what was said about an item, and shows the page it was said on.
async fn report(
    service: &Service,
    visitor: Principal,
    path: WorkPath,
    fields: Fields,
    deed: Deed,
) -> Result<HttpResponse, ErrorPage> {
    let (who, asked) = (visitor.clone(), path.clone());
    let back = super::sign_in::inside(fields.get("back"));
    let done = service
        .store
        .write(move |conn| {
            let made = plan_of(conn, &asked.site, asked.plan)?;
            let told = told(&fields, deed, &who, made.site.time_zone)?;
            app::recording::record(conn, &asked.item(), &told)
        })
        .await;
    answer(service, visitor, path, done.map(drop), &back).await
}

pub(super) async fn log(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(path): TypedPath<WorkPath>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let (who, asked) = (visitor.clone(), path.clone());
    let done = service
        .store
        .write(move |conn| {
            let made = plan_of(conn, &asked.site, asked.plan)?;
            let reading = reading(&fields, &who, made.site.time_zone)?;
            app::recording::log_only(conn, &asked.item(), vec![reading])
        })
        .await;
    let back = path.href();
    answer(&service, visitor, path, done.map(drop), &back).await
}

/// Back to the page, or the item's page with what is wrong.
async fn answer(
    service: &Service,
    visitor: Principal,
    path: WorkPath,
    done: Result<(), Refusal>,
    back: &str,
) -> Result<HttpResponse, ErrorPage> {
    let refusal = match done {
        Ok(()) => return Ok(go_to(back)),
        Err(refusal @ (Refusal::UnknownSite(_) | Refusal::UnknownPlan(_))) => {
            return Err(refusal.into());
        }
        Err(refusal) => refusal,
    };
    let (status, notice) = Notice::of(refusal);
    let page = service
        .store
        .read(move |conn| page(conn, &visitor, &path, Some(notice)))
        .await?;
    shown(status, &page)
}

/// What a form says about an item.
fn told(
    fields: &Fields,
    deed: Deed,
    visitor: &Principal,
    zone: Tz,
) -> Result<RecordedWork, Refusal> {
    let at = fields.moment("at", zone, time::now())?;
    let (by, note) = (Some(who(fields, visitor)?), note(fields)?);
    if deed == Deed::Fail {
        return Ok(RecordedWork::failure(FailureReport {
            at,
            out_until: fields.time("out_until", zone)?,
            by,
            note,
            ..FailureReport::default()
        }));
    }
    let report = WorkReport {
        at,
        by,
        note,
        ..WorkReport::default()
    };
    Ok(RecordedWork::of(deed, report))
}

/// Who says so: whoever is named, or whoever signed in.
pub(super) fn who(fields: &Fields, visitor: &Principal) -> Result<Who, Refusal> {
    let name = fields.text("by").unwrap_or(&visitor.actor.name);
    let short: String = name.chars().take(80).collect();
    Who::try_from(short).map_err(|what| Refusal::field("by", what))
}

fn note(fields: &Fields) -> Result<Option<Note>, Refusal> {
    let text = fields.text("note").map(str::to_owned);
    let note = text.map(Note::try_from).transpose();
    note.map_err(|what| Refusal::field("note", what))
}

/// A reading as a form says it.
fn reading(fields: &Fields, visitor: &Principal, zone: Tz) -> Result<ReadingReport, Refusal> {
    let value: Option<f64> = fields.number("value")?;
    let value =
        value.ok_or_else(|| Refusal::field("value", "nothing found; a number is needed"))?;
    let said = json!({
        "kind": fields.get("kind").unwrap_or_default(),
        "value": value,
        "unit": fields.get("unit").unwrap_or_default(),
    });
    let reading: ReadingReport = serde_json::from_value(said)
        .map_err(|error| Refusal::field("reading", error.to_string()))?;
    Ok(ReadingReport {
        at: fields.moment("at", zone, time::now())?,
        by: Some(who(fields, visitor)?),
        note: note(fields)?,
        ..reading
    })
}
