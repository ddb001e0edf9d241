//! What is on hand, by state, and when it runs out.

use chrono::Duration;
use chrono_tz::Tz;
use scheduler::scenario::{
    FilledKegs, KegTypeId, ProductId, ReadyKegs, Setup, SiteId, Stock, StoreId, TappedKegs,
};

use crate::domain::Refusal;
use crate::domain::materials::materials;
use crate::domain::setup::SetupDocument;
use crate::storage::{Connection, plans, publications};
use crate::text::units::Units;
use model::units::{Unit, converted};

/// Kegs of a type, by state.
pub(super) struct Kegs {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) clean: u16,
    pub(super) dirty: u16,
    pub(super) filled: u32,
    pub(super) ready: u32,
    pub(super) on_tap: usize,
}

/// Gassed kegs that stand ready.
pub(super) struct Ready {
    pub(super) what: String,
    pub(super) place: String,
    pub(super) kegs: u16,
    pub(super) since: String,
}

/// Kegs filled with water, not yet gassed.
pub(super) struct Filled {
    pub(super) what: String,
    pub(super) place: String,
    pub(super) kegs: u16,
    pub(super) degrees: String,
}

/// A keg on tap.
pub(super) struct Tapped {
    pub(super) what: String,
    pub(super) litres: String,
    pub(super) since: String,
}

/// A material with how much there is of it.
pub(super) struct Material {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) unit: &'static str,
    pub(super) amount: String,
}

/// What the published plan makes of a material.
pub(super) struct Runs {
    pub(super) name: String,
    pub(super) uses: String,
    pub(super) on_hand: String,
    pub(super) out: String,
    pub(super) orders: Vec<String>,
}

pub(super) fn kegs(setup: &SetupDocument, there: &Stock) -> Vec<Kegs> {
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

/// What people call a product in a keg.
fn contents(setup: &Setup, product: &ProductId, keg: &KegTypeId) -> String {
    let product_of = setup.products.iter().find(|p| p.id == *product);
    format!(
        "{}, {}",
        product_of.map_or(product.as_str(), |p| &p.name),
        keg_name(setup, keg)
    )
}

fn keg_name(setup: &Setup, id: &KegTypeId) -> String {
    let keg = setup.keg_types.iter().find(|k| k.id == *id);
    keg.map_or_else(|| id.to_string(), |k| k.name.clone())
}

fn store_name(setup: &Setup, id: &StoreId) -> String {
    let store = setup.cold_stores.iter().find(|s| s.id == *id);
    store.map_or_else(|| id.to_string(), |s| s.name.clone())
}

pub(super) fn filled(setup: &SetupDocument, there: &Stock, units: Units) -> Vec<Filled> {
    let setup = &setup.setup;
    let one = |filled: &FilledKegs| Filled {
        what: keg_name(setup, &filled.keg_type),
        place: store_name(setup, &filled.store),
        kegs: filled.kegs,
        degrees: units.typed(converted(
            filled.temperature_c.celsius(),
            Unit::C,
            units.read_in(Unit::C),
        )),
    };
    there.filled.iter().map(one).collect()
}

pub(super) fn ready(setup: &SetupDocument, there: &Stock, units: Units) -> Vec<Ready> {
    let setup = &setup.setup;
    let one = |ready: &ReadyKegs| Ready {
        what: contents(setup, &ready.product, &ready.keg_type),
        place: store_name(setup, &ready.store),
        kegs: ready.kegs,
        since: units.day_and_time(ready.gassed_at),
    };
    there.ready.iter().map(one).collect()
}

pub(super) fn tapped(setup: &SetupDocument, there: &Stock, units: Units) -> Vec<Tapped> {
    let setup = &setup.setup;
    let one = |tapped: &TappedKegs| Tapped {
        what: contents(setup, &tapped.product, &tapped.keg_type),
        litres: units.typed(converted(
            tapped.litres.litres(),
            Unit::L,
            units.read_in(Unit::L),
        )),
        since: units.day_and_time(tapped.tapped_at),
    };
    there.on_tap.iter().map(one).collect()
}

/// Emptied kegs that have not come back from the bar.
pub(super) fn at_bar(setup: &SetupDocument, there: &Stock) -> Vec<(String, u16)> {
    let setup = &setup.setup;
    let rows = there.under_way.at_bar.iter();
    rows.map(|row| (contents(setup, &row.product, &row.keg_type), row.kegs))
        .collect()
}

/// Every material the site uses, with what there is of it.
pub(super) fn held(setup: &SetupDocument, there: &Stock, units: Units) -> Vec<Material> {
    let mut found: Vec<Material> = Vec::new();
    let amount = |id: &str| {
        let of = there.materials.iter().filter(|m| m.material.as_str() == id);
        units.typed(of.map(|m| m.amount.units()).sum())
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
pub(super) fn runs(
    conn: &mut Connection,
    site: &SiteId,
    zone: Tz,
    units: Units,
) -> Result<Vec<Runs>, Refusal> {
    let Some(published) = publications::current(conn, site, zone)? else {
        return Ok(Vec::new());
    };
    let made = plans::made(conn, published.plan)?;
    let needs = materials(&made.plan, &made.scenario, Duration::hours(24));
    let told = |need: crate::domain::materials::MaterialNeed| {
        let unit = need.need.unit.clone();
        Runs {
            name: need.name,
            uses: format!("{} {unit}", units.number(need.need.uses)),
            on_hand: format!(
                "{} {unit}",
                units.number(need.need.on_hand + need.need.arrives)
            ),
            out: need
                .need
                .runs_out
                .map_or_else(String::new, |at| units.day_and_time(at)),
            orders: need
                .orders
                .iter()
                .map(|order| {
                    format!(
                        "{} {unit}, order by {}",
                        units.number(order.amount),
                        units.day_and_time(order.order_by)
                    )
                })
                .collect(),
        }
    };
    Ok(needs.into_iter().map(told).collect())
}
