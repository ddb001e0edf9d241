//! Ready by: how many kegs can stand ready by a day and time, and what stops there being more.

mod curve;
mod question;

use actix_web::http::header::{CACHE_CONTROL, CONTENT_SECURITY_POLICY};
use actix_web::{HttpRequest, HttpResponse, web};
use askama::Template;
use chrono::{DateTime, Duration, FixedOffset};
use scheduler::answer::capacity_curve;
use scheduler::check::Checked;
use scheduler::milp::Watch;
use scheduler::scenario::{ProductId, Site, SiteId};

use super::error_page::{ErrorPage, Notice};
use super::fields::{Fields, LOCAL};
use super::page::{Nav, Shell, shown};
use super::plans::usual_start;
use super::principal::Principal;
use crate::app::capacity::{Stretch, answered};
use crate::domain::plans::{PlanRequest, TimeLimit};
use crate::domain::setup::SetupDocument;
use crate::domain::{Refusal, demand as lines};
use crate::http::{SitePath, TypedPath};
use crate::service::Service;
use crate::storage::{Connection, demand, setup, sites};
use question::{Answer, EACH, MIX, Of, ask};
use scheduler::scenario::Grid;

/// Seconds a person waits for a page.
const PATIENCE: f64 = 25.0;

/// A product to choose.
pub(super) struct Choice {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) chosen: bool,
}

#[derive(Template)]
#[template(path = "board/ready.html")]
struct Page {
    shell: Shell,
    start: String,
    by: String,
    said_by: String,
    each: bool,
    mix: bool,
    products: Vec<Choice>,
    /// Products with how many kegs of each make a set.
    parts: Vec<(String, String, String)>,
    answers: Vec<Answer>,
    curve: String,
}

/// What is known before anything is asked.
struct ReadyContext {
    site: Site,
    setup: SetupDocument,
    start: DateTime<FixedOffset>,
    by: DateTime<FixedOffset>,
    of: Of,
    asked: bool,
}

pub(super) async fn read(
    request: HttpRequest,
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
) -> Result<HttpResponse, ErrorPage> {
    let asked = Fields::parse(request.query_string().as_bytes());
    let (known, wrong) = service
        .store
        .read(move |conn| known(conn, &site, &asked))
        .await?;
    let (mut status, mut notice, mut answers) = (200, None, Vec::new());
    let found = match wrong {
        Some(refusal) => Err(refusal),
        None if known.asked => ask(&service, &known, &visitor).await,
        None => Ok(Vec::new()),
    };
    match found {
        Ok(found) => answers = found,
        Err(refusal) => {
            let (code, what) = Notice::of(refusal);
            (status, notice) = (code, Some(what));
        }
    }
    shown(status, &page(&known, &visitor, answers, notice))
}

fn page(
    known: &ReadyContext,
    visitor: &Principal,
    answers: Vec<Answer>,
    notice: Option<Notice>,
) -> Page {
    let zone = known.site.time_zone;
    let local = |at: DateTime<FixedOffset>| at.with_timezone(&zone).format(LOCAL).to_string();
    let mut query = form_urlencoded::Serializer::new(String::new());
    query.append_pair("start", &local(known.start));
    query.append_pair("by", &local(known.by));
    if let Some(product) = known.of.only() {
        query.append_pair("product", product.as_str());
    }
    let shell = Shell::of(visitor, &known.site, Nav::Ready).saying(notice);
    let products = known.setup.setup.products.iter();
    Page {
        curve: format!("{}/ready/curve.svg?{}", shell.base, query.finish()),
        start: local(known.start),
        by: local(known.by),
        said_by: visitor
            .units
            .day_and_time(known.by.with_timezone(&zone).fixed_offset()),
        each: known.of.written() == EACH,
        mix: known.of.written() == MIX,
        products: choices(&known.setup, known.of.only()),
        parts: products
            .map(|p| (p.id.to_string(), p.name.clone(), known.of.part(&p.id)))
            .collect(),
        answers,
        shell,
    }
}

/// The products of a setup, to choose from.
pub(super) fn choices(setup: &SetupDocument, chosen: Option<&ProductId>) -> Vec<Choice> {
    let products = setup.setup.products.iter();
    let choice = |product: &scheduler::scenario::Product| Choice {
        id: product.id.to_string(),
        name: product.name.clone(),
        chosen: chosen == Some(&product.id),
    };
    products.map(choice).collect()
}

/// What is known of a question, and what is wrong with it.
fn known(
    conn: &mut Connection,
    site: &SiteId,
    fields: &Fields,
) -> Result<(ReadyContext, Option<Refusal>), Refusal> {
    let site = sites::load(conn, site)?;
    let setup = setup::load(conn, &site.id)?.document;
    let usual = usual_start(conn, &site.id, site.time_zone)?;
    let mut wrong = None;
    let start = or_noted(fields.time("start", site.time_zone), &mut wrong);
    let by = or_noted(fields.time("by", site.time_zone), &mut wrong);
    let of = or_noted(Of::read(fields).map(Some), &mut wrong);
    let start = start.unwrap_or(usual);
    let known = ReadyContext {
        asked: by.is_some(),
        by: by.unwrap_or(start + Duration::hours(4 * 24 + 11)),
        site,
        setup,
        start,
        of: of.unwrap_or(Of::All),
    };
    Ok((known, wrong))
}

/// What was read; nothing where something is wrong with it, which is noted.
fn or_noted<T>(read: Result<Option<T>, Refusal>, wrong: &mut Option<Refusal>) -> Option<T> {
    read.unwrap_or_else(|refusal| {
        wrong.get_or_insert(refusal);
        None
    })
}

impl ReadyContext {
    /// The days to look at: up to the instant asked about, and a week at least.
    fn stretch(&self) -> PlanRequest {
        let days = (self.by - self.start).num_days().clamp(0, 55) + 1;
        PlanRequest {
            start: self.start,
            days: u8::try_from(days.max(7)).unwrap_or(56),
            grid_minutes: Grid::Half,
            time_limit_s: TimeLimit::new(PATIENCE).ok(),
            gap: None,
        }
    }
}

/// The curve of kegs that can be ready, hour by hour, against what is wanted by then.
pub(super) async fn picture(
    request: HttpRequest,
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
) -> Result<HttpResponse, ErrorPage> {
    let asked = Fields::parse(request.query_string().as_bytes());
    let (known, wanted) = service
        .store
        .read(move |conn| {
            let (known, wrong) = known(conn, &site, &asked)?;
            if let Some(refusal) = wrong {
                return Err(refusal);
            }
            let range = lines::Range {
                from: Some(known.start),
                to: None,
            };
            let wanted = demand::list(conn, &site, range, known.site.time_zone)?;
            Ok::<_, Refusal>((known, wanted))
        })
        .await?;
    let stretch = known.stretch();
    let (limits, product) = (stretch.limits(), known.of.only().cloned());
    let stretch = Stretch::of(known.site.id.clone(), &stretch);
    let asked = product.clone();
    let curve = move |scenario: &Checked, watch: Watch<'_>| {
        capacity_curve(scenario, asked.as_ref(), limits, watch)
    };
    let found = answered(&service, &visitor.actor, stretch, &product, curve).await?;
    let largest = known
        .setup
        .setup
        .keg_types
        .iter()
        .map(|k| k.fill_l.litres())
        .fold(0.0, f64::max);
    let needed = curve::needed(&wanted, product.as_ref(), largest);
    let svg = curve::draw(&found, &needed, known.by, known.site.time_zone);
    Ok(HttpResponse::Ok()
        .content_type("image/svg+xml; charset=utf-8")
        .insert_header((CACHE_CONTROL, "private, max-age=60"))
        .insert_header((CONTENT_SECURITY_POLICY, "default-src 'none'"))
        .body(svg))
}
