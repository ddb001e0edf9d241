//! Ready by: how many kegs can stand ready by a day and time, and what stops there being more.

mod curve;

use actix_web::http::header::{CACHE_CONTROL, CONTENT_SECURITY_POLICY};
use actix_web::{HttpResponse, web};
use askama::Template;
use chrono::{DateTime, Duration, FixedOffset};
use scheduler::answer::{CapacityAnswer, CapacityQuestion, capacity, capacity_curve};
use scheduler::plan::Status;
use scheduler::scenario::{ProductId, Site, SiteId};
use serde::Deserialize;

use super::fields::{LOCAL, local_time};
use super::page::{Nav, Shell, shown};
use super::plans::usual_start;
use super::trouble::{Notice, Trouble};
use super::visitor::Visitor;
use crate::domain::plans::{PlanRequest, TimeLimit};
use crate::domain::setup::SetupDocument;
use crate::domain::{Refusal, demand as lines};
use crate::http::{At, Params};
use crate::routes::{SitePath, capacity as question};
use crate::service::Service;
use crate::storage::{Connection, demand, setup, sites};
use crate::text::figures::{day_and_time, number};
use scheduler::scenario::Grid;

/// Seconds a person waits for a page.
const PATIENCE: f64 = 25.0;

/// What is asked.
#[derive(Debug, Clone, Default, Deserialize)]
pub(super) struct ReadyParams {
    by: Option<String>,
    start: Option<String>,
    product: Option<String>,
    #[serde(rename = "units")]
    _units: Option<String>,
}

/// Kegs of a product in the answer.
struct Count {
    product: String,
    keg: String,
    kegs: u32,
}

/// What limits, and what one more would bring.
struct Limit {
    resource: String,
    one_more: String,
    brings: String,
}

struct Answer {
    kegs: u32,
    at_most: u32,
    proven: bool,
    litres: String,
    by: String,
    counts: Vec<Count>,
    limits: Vec<Limit>,
}

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
    products: Vec<Choice>,
    answer: Option<Answer>,
    curve: String,
}

/// What is known before anything is asked.
struct Known {
    site: Site,
    setup: SetupDocument,
    start: DateTime<FixedOffset>,
    by: DateTime<FixedOffset>,
    product: Option<ProductId>,
    asked: bool,
}

pub(super) fn configure(app: &mut web::ServiceConfig) {
    app.route("/{site}/ready", web::get().to(read))
        .route("/{site}/ready/curve.svg", web::get().to(picture));
}

async fn read(
    service: web::Data<Service>,
    visitor: Visitor,
    At(SitePath { site }): At<SitePath>,
    Params(params): Params<ReadyParams>,
) -> Result<HttpResponse, Trouble> {
    let asked = params.clone();
    let known = service
        .store
        .read(move |conn| known(conn, &site, &asked))
        .await?;
    let (mut status, mut notice, mut answer) = (200, None, None);
    if known.asked {
        match ask(&service, &known).await {
            Ok(found) => answer = Some(told(&known, &visitor, &found)),
            Err(refusal) => {
                let (code, what) = Notice::of(refusal);
                (status, notice) = (code, Some(what));
            }
        }
    }
    shown(status, &page(known, &visitor, answer, notice))
}

fn page(known: Known, visitor: &Visitor, answer: Option<Answer>, notice: Option<Notice>) -> Page {
    let zone = known.site.time_zone;
    let local = |at: DateTime<FixedOffset>| at.with_timezone(&zone).format(LOCAL).to_string();
    let mut query = form_urlencoded::Serializer::new(String::new());
    query.append_pair("start", &local(known.start));
    query.append_pair("by", &local(known.by));
    if let Some(product) = &known.product {
        query.append_pair("product", product.as_str());
    }
    let shell = Shell::of(visitor, &known.site, Nav::Ready).saying(notice);
    Page {
        curve: format!("{}/ready/curve.svg?{}", shell.base, query.finish()),
        start: local(known.start),
        by: local(known.by),
        products: choices(&known.setup, known.product.as_ref()),
        answer,
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

fn known(conn: &mut Connection, site: &SiteId, params: &ReadyParams) -> Result<Known, Refusal> {
    let site = sites::load(conn, site)?;
    let setup = setup::load(conn, &site.id)?.document;
    let zone = site.time_zone;
    let given = |name: &str, text: &Option<String>| {
        let text = text.as_deref().filter(|text| !text.is_empty());
        text.map(|text| local_time(name, text, zone)).transpose()
    };
    let start = match given("start", &params.start)? {
        Some(start) => start,
        None => usual_start(conn, &site.id, zone)?,
    };
    let by = given("by", &params.by)?;
    let product = params.product.as_deref().filter(|text| !text.is_empty());
    let product = product.map(|text| ProductId::try_from(text.to_owned()));
    let product = product
        .transpose()
        .map_err(|e| Refusal::field("product", e.to_string()))?;
    Ok(Known {
        asked: by.is_some(),
        by: by.unwrap_or(start + Duration::hours(4 * 24 + 11)),
        site,
        setup,
        start,
        product,
    })
}

impl Known {
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

async fn ask(service: &Service, known: &Known) -> Result<CapacityAnswer, Refusal> {
    let stretch = known.stretch();
    let asked = CapacityQuestion {
        by: known.by,
        product: known.product.clone(),
        mix: Vec::new(),
    };
    let limits = stretch.limits();
    let site = known.site.id.clone();
    question::answered(service, site, stretch.horizon(), move |scenario, watch| {
        capacity(scenario, &asked, limits, watch)
    })
    .await
}

fn told(known: &Known, visitor: &Visitor, found: &CapacityAnswer) -> Answer {
    let setup = &known.setup.setup;
    let product = |id: &ProductId| {
        let named = setup.products.iter().find(|p| p.id == *id);
        named.map_or_else(|| id.to_string(), |p| p.name.clone())
    };
    let counts = found.by_keg.iter().map(|count| {
        let keg = setup.keg_types.iter().find(|k| k.id == count.keg_type);
        Count {
            product: product(&count.product),
            keg: keg.map_or_else(|| count.keg_type.to_string(), |k| k.name.clone()),
            kegs: count.kegs,
        }
    });
    let limits = found.limits.iter().map(|why| Limit {
        resource: why.resource.clone(),
        one_more: why.one_more.clone(),
        brings: format!("{} {}", number(why.brings), why.unit),
    });
    Answer {
        kegs: found.kegs,
        at_most: found.at_most,
        proven: found.status == Status::Optimal,
        litres: visitor.units.litres(found.litres).to_string(),
        by: day_and_time(found.by),
        counts: counts.collect(),
        limits: limits.collect(),
    }
}

/// The curve of kegs that can be ready, hour by hour, against what is wanted by then.
async fn picture(
    service: web::Data<Service>,
    At(SitePath { site }): At<SitePath>,
    Params(params): Params<ReadyParams>,
) -> Result<HttpResponse, Trouble> {
    let (known, wanted) = service
        .store
        .read(move |conn| {
            let known = known(conn, &site, &params)?;
            let range = lines::Range {
                from: Some(known.start),
                to: None,
            };
            let wanted = demand::list(conn, &site, range, known.site.time_zone)?;
            Ok::<_, Refusal>((known, wanted))
        })
        .await?;
    let stretch = known.stretch();
    let (limits, product) = (stretch.limits(), known.product.clone());
    let site = known.site.id.clone();
    let asked = product.clone();
    let found = question::answered(&service, site, stretch.horizon(), move |scenario, watch| {
        capacity_curve(scenario, asked.as_ref(), limits, watch)
    })
    .await?;
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
