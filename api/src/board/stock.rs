//! Stock: what is on hand by state, what runs out when; counted, and received.

use actix_web::{HttpResponse, web};
use askama::Template;
use chrono::{DateTime, Duration, FixedOffset};
use chrono_tz::Tz;
use scheduler::scenario::quantities::StockMass;
use scheduler::scenario::{EmptyKegs, SiteId, Stock, UnderWay};
use serde_json::{Value, json};
use uuid::Uuid;

use super::fields::{Fields, LOCAL, through};
use super::go_to;
use super::page::{Nav, Shell, shown};
use super::trouble::{Notice, Trouble};
use super::visitor::Visitor;
use crate::domain::materials::materials;
use crate::domain::setup::SetupDocument;
use crate::domain::stock::{Balance, Count, Movement};
use crate::domain::{Refusal, time};
use crate::http::At;
use crate::routes::{SitePath, stock as ledger};
use crate::service::Service;
use crate::storage::{Connection, plans, publications, setup, sites, stock};
use crate::text::figures::{day_and_time, number};
use crate::text::units::Units;
use model::units::{Unit, converted};

/// Kegs of a type, by state.
struct Kegs {
    id: String,
    name: String,
    clean: u16,
    dirty: u16,
    filled: u32,
    ready: u32,
    on_tap: usize,
}

/// Gassed kegs that stand ready.
struct Ready {
    what: String,
    place: String,
    kegs: u16,
    since: String,
}

/// A material with how much there is of it.
struct Material {
    id: String,
    name: String,
    unit: &'static str,
    amount: String,
}

/// What the published plan makes of a material.
struct Runs {
    name: String,
    uses: String,
    on_hand: String,
    out: String,
    orders: Vec<String>,
}

#[derive(Template)]
#[template(path = "board/stock.html")]
struct Page {
    shell: Shell,
    counted: String,
    kegs: Vec<Kegs>,
    ready: Vec<Ready>,
    ice: String,
    co2: String,
    mass: &'static str,
    materials: Vec<Material>,
    runs: Vec<Runs>,
    now: String,
}

pub(super) fn configure(app: &mut web::ServiceConfig) {
    app.route("/{site}/stock", web::get().to(read))
        .route("/{site}/stock/count", web::post().to(count))
        .route("/{site}/stock/receive", web::post().to(receive));
}

async fn read(
    service: web::Data<Service>,
    visitor: Visitor,
    At(SitePath { site }): At<SitePath>,
) -> Result<HttpResponse, Trouble> {
    let page = service
        .store
        .read(move |conn| page(conn, &visitor, &site, None))
        .await?;
    shown(200, &page)
}

fn page(
    conn: &mut Connection,
    visitor: &Visitor,
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
    Ok(Page {
        counted: counted(balance.as_ref()),
        kegs: kegs(&setup, &there),
        ready: ready(&setup, &there),
        ice: weighed(there.ice_kg.kilograms(), units),
        co2: weighed(there.co2_kg.kilograms(), units),
        mass: units.mass(1.0).unit,
        materials: held(&setup, &there),
        runs: runs(conn, &site.id, zone)?,
        now: now.format(LOCAL).to_string(),
        shell: Shell::of(visitor, &site, Nav::Stock).saying(notice),
    })
}

fn weighed(kg: f64, units: Units) -> String {
    units.mass(kg).value
}

fn counted(balance: Option<&Balance>) -> String {
    balance.map_or_else(
        || "nothing was counted yet".to_owned(),
        |balance| {
            let moved = match balance.movements {
                0 => String::new(),
                n => format!(", and what moved since ({n})"),
            };
            format!("counted {}{moved}", day_and_time(balance.counted_at))
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

fn kegs(setup: &SetupDocument, there: &Stock) -> Vec<Kegs> {
    let types = setup.setup.keg_types.iter();
    let of = |keg: &scheduler::scenario::KegType| {
        let empty = there.empty.iter().filter(|e| e.keg_type == keg.id);
        let (clean, dirty) = empty.fold((0, 0), |(c, d), e| (c + e.clean, d + e.dirty));
        let filled = there.filled.iter().filter(|f| f.keg_type == keg.id);
        let ready = there.ready.iter().filter(|r| r.keg_type == keg.id);
        Kegs {
            id: keg.id.to_string(),
            name: keg.name.clone(),
            clean,
            dirty,
            filled: filled.map(|f| u32::from(f.kegs)).sum(),
            ready: ready.map(|r| u32::from(r.kegs)).sum(),
            on_tap: there.on_tap.iter().filter(|t| t.keg_type == keg.id).count(),
        }
    };
    types.map(of).collect()
}

fn ready(setup: &SetupDocument, there: &Stock) -> Vec<Ready> {
    let setup = &setup.setup;
    let one = |ready: &scheduler::scenario::ReadyKegs| {
        let product = setup.products.iter().find(|p| p.id == ready.product);
        let keg = setup.keg_types.iter().find(|k| k.id == ready.keg_type);
        let store = setup.cold_stores.iter().find(|s| s.id == ready.store);
        Ready {
            what: format!(
                "{}, {}",
                product.map_or(ready.product.as_str(), |p| &p.name),
                keg.map_or(ready.keg_type.as_str(), |k| &k.name)
            ),
            place: store.map_or_else(|| ready.store.to_string(), |s| s.name.clone()),
            kegs: ready.kegs,
            since: day_and_time(ready.gassed_at),
        }
    };
    there.ready.iter().map(one).collect()
}

/// Every material the site uses, with what there is of it.
fn held(setup: &SetupDocument, there: &Stock) -> Vec<Material> {
    let mut found: Vec<Material> = Vec::new();
    let amount = |id: &str| {
        let of = there.materials.iter().filter(|m| m.material.as_str() == id);
        number(of.map(|m| m.amount.units()).sum())
    };
    let mut add = |id: &str, name: &str, unit: &'static str| {
        if found.iter().all(|known| known.id != id) {
            found.push(Material {
                id: id.to_owned(),
                name: name.to_owned(),
                unit,
                amount: amount(id),
            });
        }
    };
    for material in &setup.setup.materials {
        add(material.id.as_str(), &material.name, material.unit.symbol());
    }
    add("ascorbate", "Dechlorinating agent", "g");
    for product in &setup.setup.products {
        if let Some(syrup) = &product.syrup {
            let id = syrup.material.as_str();
            add(id, &format!("Syrup for {}", product.name), "L");
        }
    }
    for held in &there.materials {
        add(held.material.as_str(), held.material.as_str(), "");
    }
    found
}

/// What the published plan uses up, and when that runs out.
fn runs(conn: &mut Connection, site: &SiteId, zone: Tz) -> Result<Vec<Runs>, Refusal> {
    let Some(published) = publications::current(conn, site, zone)? else {
        return Ok(Vec::new());
    };
    let made = plans::made(conn, published.plan)?;
    let needs = materials(&made.plan, &made.scenario, Duration::hours(24));
    let told = |need: crate::domain::materials::MaterialNeed| {
        let unit = need.need.unit.clone();
        Runs {
            name: need.name,
            uses: format!("{} {unit}", number(need.need.uses)),
            on_hand: format!("{} {unit}", number(need.need.on_hand + need.need.arrives)),
            out: need.need.runs_out.map_or_else(String::new, day_and_time),
            orders: need
                .orders
                .iter()
                .map(|order| {
                    format!(
                        "{} {unit}, order by {}",
                        number(order.amount),
                        day_and_time(order.order_by)
                    )
                })
                .collect(),
        }
    };
    Ok(needs.into_iter().map(told).collect())
}

async fn count(
    service: web::Data<Service>,
    visitor: Visitor,
    At(SitePath { site }): At<SitePath>,
    fields: Fields,
) -> Result<HttpResponse, Trouble> {
    let (asked, units) = (site.clone(), visitor.units);
    let done = service
        .store
        .write(move |conn| {
            let zone = sites::load(conn, &asked)?.time_zone;
            let found = found(conn, &asked, &fields, units, zone)?;
            ledger::record_count(conn, &asked, found)
        })
        .await;
    answer(&service, visitor, site, done.map(drop)).await
}

/// What somebody counted: the books, with what the form says in their place.
fn found(
    conn: &mut Connection,
    site: &SiteId,
    fields: &Fields,
    units: Units,
    zone: Tz,
) -> Result<Count, Refusal> {
    let books = stock::current(conn, site, zone)?;
    let mut there = books.map_or_else(nothing, |balance| balance.stock);
    let setup = setup::load(conn, site)?.document;
    let empty = setup.setup.keg_types.iter().map(|keg| {
        Ok(EmptyKegs {
            keg_type: keg.id.clone(),
            clean: fields.number(&format!("clean {}", keg.id))?.unwrap_or(0),
            dirty: fields.number(&format!("dirty {}", keg.id))?.unwrap_or(0),
        })
    });
    there.empty = empty.collect::<Result<_, Refusal>>()?;
    let mut left = Vec::new();
    for (n, ready) in there.ready.iter().enumerate() {
        let kegs = fields.number(&format!("ready {n}"))?.unwrap_or(0);
        if kegs > 0 {
            left.push(scheduler::scenario::ReadyKegs {
                kegs,
                ..ready.clone()
            });
        }
    }
    there.ready = left;
    let mut said = serde_json::to_value(&there).map_err(Refusal::internal)?;
    for name in ["ice_kg", "co2_kg"] {
        said[name] = json!(kilograms(fields, name, units)?.unwrap_or(0.0));
    }
    let mut held = Vec::new();
    for (material, _) in fields.under("material ") {
        let amount: Option<f64> = fields.number(&format!("material {material}"))?;
        held.push(json!({ "material": material, "amount": amount.unwrap_or(0.0) }));
    }
    said["materials"] = Value::Array(held);
    through(json!({
        "reference": format!("count-{}", Uuid::now_v7()),
        "at": counted_at(fields, zone)?,
        "stock": said,
    }))
}

fn counted_at(fields: &Fields, zone: Tz) -> Result<DateTime<FixedOffset>, Refusal> {
    let now = || time::now().with_timezone(&zone).fixed_offset();
    Ok(fields.time("at", zone)?.unwrap_or_else(now))
}

fn kilograms(fields: &Fields, name: &str, units: Units) -> Result<Option<f64>, Refusal> {
    let mass: Option<f64> = fields.number(name)?;
    Ok(mass.map(|mass| converted(mass, units.of(Unit::Kg, Unit::Lb), Unit::Kg)))
}

async fn receive(
    service: web::Data<Service>,
    visitor: Visitor,
    At(SitePath { site }): At<SitePath>,
    fields: Fields,
) -> Result<HttpResponse, Trouble> {
    let (asked, units) = (site.clone(), visitor.units);
    let done = service
        .store
        .write(move |conn| {
            let zone = sites::load(conn, &asked)?.time_zone;
            let movement = moved(&fields, units, zone)?;
            ledger::record_movement(conn, &asked, movement)
        })
        .await;
    answer(&service, visitor, site, done.map(drop)).await
}

/// What came in, or went out.
fn moved(fields: &Fields, units: Units, zone: Tz) -> Result<Movement, Refusal> {
    let amount: Option<f64> = fields.number("amount")?;
    let amount =
        amount.ok_or_else(|| Refusal::field("amount", "nothing found; a number is needed"))?;
    let amount = if fields.get("way") == Some("out") {
        -amount
    } else {
        amount
    };
    let what = fields.get("what").unwrap_or_default();
    let (of, id) = what.split_once(' ').unwrap_or((what, ""));
    let kg = converted(amount, units.of(Unit::Kg, Unit::Lb), Unit::Kg);
    let change = match of {
        "ice" | "co2" => json!({ "of": of, "kg": kg }),
        "material" => json!({ "of": of, "material": id, "amount": amount }),
        _ => {
            if amount.fract().abs() > 1e-9 {
                let found = format!("{amount} kegs found; a whole number is allowed");
                return Err(Refusal::field("amount", found));
            }
            json!({ "of": of, "keg_type": id, "kegs": amount as i64 })
        }
    };
    through(json!({
        "reference": format!("move-{}", Uuid::now_v7()),
        "at": counted_at(fields, zone)?,
        "change": change,
    }))
}

/// Back to the page, or the page with what is wrong.
async fn answer(
    service: &Service,
    visitor: Visitor,
    site: SiteId,
    done: Result<(), Refusal>,
) -> Result<HttpResponse, Trouble> {
    match done {
        Ok(()) => Ok(go_to(format!("/board/{site}/stock"))),
        Err(refusal @ (Refusal::UnknownSite(_) | Refusal::NoSetup(_))) => Err(refusal.into()),
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
