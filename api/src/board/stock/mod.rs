//! Stock: what is on hand by state, what runs out when; counted, and received.

mod corrected;
pub(super) mod count;
mod held;
pub(super) mod receive;

use actix_web::{HttpResponse, web};
use askama::Template;
use chrono::{DateTime, FixedOffset};
use chrono_tz::Tz;
use scheduler::scenario::quantities::StockMass;
use scheduler::scenario::{SiteId, Stock, UnderWay};

use super::error_page::{ErrorPage, Notice};
use super::fields::{Fields, LOCAL};
use super::page::{Nav, Shell, shown};
use super::principal::Principal;
use crate::domain::stock::Balance;
use crate::domain::{Refusal, time};
use crate::http::{SitePath, TypedPath};
use crate::service::Service;
use crate::storage::{Connection, setup, sites, stock};
use crate::text::units::Units;
use corrected::{Corrected, corrected};
use count::Rows;
use held::{
    Filled, Kegs, Material, Ready, Runs, Tapped, at_bar, filled, held, kegs, ready, runs, tapped,
};
use model::units::{Unit, converted};

#[derive(Template)]
#[template(path = "board/stock.html")]
struct Page {
    shell: Shell,
    counted: String,
    kegs: Vec<Kegs>,
    filled: Vec<Filled>,
    ready: Vec<Ready>,
    tapped: Vec<Tapped>,
    at_bar: Vec<(String, u16)>,
    /// What stands in the form, for when it is sent.
    rows: String,
    products: Vec<(String, String)>,
    stores: Vec<(String, String)>,
    volume: &'static str,
    degrees: &'static str,
    /// What the last count put right; none where there was nothing before it.
    corrected: Option<Vec<Corrected>>,
    ice: String,
    co2: String,
    ice_typed: String,
    co2_typed: String,
    mass: &'static str,
    materials: Vec<Material>,
    runs: Vec<Runs>,
    now: String,
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
    let (zone, units) = (site.time_zone, visitor.units);
    let setup = setup::load(conn, &site.id)?.document;
    let balance = stock::current(conn, &site.id, zone)?;
    let there = balance
        .as_ref()
        .map_or_else(nothing, |balance| balance.stock.clone());
    let now = time::now().with_timezone(&zone);
    let corrected = match &balance {
        Some(balance) => corrected(conn, &site.id, &setup, balance, zone, units)?,
        None => None,
    };
    let products = setup.setup.products.iter();
    let stores = setup.setup.cold_stores.iter();
    Ok(Page {
        counted: counted(balance.as_ref(), units),
        kegs: kegs(&setup, &there),
        filled: filled(&setup, &there, units),
        ready: ready(&setup, &there, units),
        tapped: tapped(&setup, &there, units),
        at_bar: at_bar(&setup, &there),
        rows: Rows::of(&there).written(),
        products: products
            .map(|p| (p.id.to_string(), p.name.clone()))
            .collect(),
        stores: stores.map(|s| (s.id.to_string(), s.name.clone())).collect(),
        volume: units.litres(1.0).unit,
        degrees: units.degrees(1.0).unit,
        corrected,
        ice: units.mass(there.ice_kg.kilograms()).value,
        co2: units.mass(there.co2_kg.kilograms()).value,
        ice_typed: typed(there.ice_kg.kilograms(), units),
        co2_typed: typed(there.co2_kg.kilograms(), units),
        mass: units.mass(1.0).unit,
        materials: held(&setup, &there, units),
        runs: runs(conn, &site.id, zone, units)?,
        now: now.format(LOCAL).to_string(),
        shell: Shell::of(visitor, &site, Nav::Stock).saying(notice),
    })
}

/// A mass as it stands in a field.
fn typed(kg: f64, units: Units) -> String {
    units.typed(converted(kg, Unit::Kg, units.read_in(Unit::Kg)))
}

fn counted(balance: Option<&Balance>, units: Units) -> String {
    balance.map_or_else(
        || "nothing was counted yet".to_owned(),
        |balance| {
            let moved = match balance.movements {
                0 => String::new(),
                n => format!(", and what moved since ({n})"),
            };
            format!("counted {}{moved}", units.day_and_time(balance.counted_at))
        },
    )
}

fn nothing() -> Stock {
    Stock {
        empty: Vec::new(),
        filled: Vec::new(),
        ready: Vec::new(),
        on_tap: Vec::new(),
        ice_kg: StockMass::of(0.0),
        co2_kg: StockMass::of(0.0),
        materials: Vec::new(),
        deliveries: Vec::new(),
        under_way: UnderWay::default(),
    }
}

fn counted_at(fields: &Fields, zone: Tz) -> Result<DateTime<FixedOffset>, Refusal> {
    let now = time::now();
    let told = fields.moment("at", zone, now)?;
    Ok(told.unwrap_or_else(|| now.with_timezone(&zone).fixed_offset()))
}

fn kilograms(fields: &Fields, name: &str, units: Units) -> Result<Option<f64>, Refusal> {
    let mass: Option<f64> = fields.number(name)?;
    Ok(mass.map(|mass| converted(mass, units.read_in(Unit::Kg), Unit::Kg)))
}

/// The page, with why it was not recorded.
async fn refused(
    service: &Service,
    visitor: Principal,
    site: SiteId,
    refusal: Refusal,
) -> Result<HttpResponse, ErrorPage> {
    if matches!(refusal, Refusal::UnknownSite(_) | Refusal::NoSetup(_)) {
        return Err(refusal.into());
    }
    let (status, notice) = Notice::of(refusal);
    let page = service
        .store
        .read(move |conn| page(conn, &visitor, &site, Some(notice)))
        .await?;
    shown(status, &page)
}
