//! What somebody counted: everything there is, by state, in place of the books.

use actix_web::{HttpResponse, web};
use chrono::{DateTime, FixedOffset};
use chrono_tz::Tz;
use scheduler::scenario::{
    EmptyKegs, FilledKegs, KegsAtBar, ReadyKegs, SiteId, Stock, TappedKegs, UnderWay,
};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use uuid::Uuid;

use super::super::error_page::ErrorPage;
use super::super::fields::{Fields, through};
use super::super::go_to;
use super::super::principal::Principal;
use super::{counted_at, kilograms, nothing, refused};
use crate::app;
use crate::domain::Refusal;
use crate::domain::stock::Count;
use crate::http::{SitePath, TypedPath};
use crate::service::Service;
use crate::storage::{Connection, setup, sites, stock};
use crate::text::units::Units;
use model::units::{Unit, converted};

/// What stood in the form when it was opened, so that what was counted is said of those kegs and
/// of no others, whatever was booked since.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Rows {
    filled: Vec<FilledKegs>,
    ready: Vec<ReadyKegs>,
    on_tap: Vec<TappedKegs>,
    at_bar: Vec<KegsAtBar>,
}

impl Rows {
    pub(super) fn of(there: &Stock) -> Self {
        Self {
            filled: there.filled.clone(),
            ready: there.ready.clone(),
            on_tap: there.on_tap.clone(),
            at_bar: there.under_way.at_bar.clone(),
        }
    }

    /// As it stands in the form.
    pub(super) fn written(&self) -> String {
        serde_json::to_string(self).unwrap_or_default()
    }
}

pub(in crate::board) async fn count(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let (asked, units) = (site.clone(), visitor.units);
    let done = service
        .store
        .write(move |conn| {
            let zone = sites::load(conn, &asked)?.time_zone;
            let found = found(conn, &asked, &fields, units, zone)?;
            app::stock::record_count(conn, &asked, found)
        })
        .await;
    match done {
        Ok(_) => Ok(go_to(format!("/board/{site}/stock#corrected"))),
        Err(refusal) => refused(&service, visitor, site, refusal).await,
    }
}

/// What somebody counted: what the form says, and of what it does not name, what the books say.
fn found(
    conn: &mut Connection,
    site: &SiteId,
    fields: &Fields,
    units: Units,
    zone: Tz,
) -> Result<Count, Refusal> {
    let books = stock::current(conn, site, zone)?;
    let books = books.map_or_else(nothing, |balance| balance.stock);
    let rows = match fields.text("rows") {
        Some(text) => {
            serde_json::from_str(text).map_err(|error| Refusal::field("rows", error.to_string()))?
        }
        None => Rows::of(&books),
    };
    let setup = setup::load(conn, site)?.document;
    let empty = setup.setup.keg_types.iter().map(|keg| {
        Ok(EmptyKegs {
            keg_type: keg.id.clone(),
            clean: fields.number(&format!("clean {}", keg.id))?.unwrap_or(0),
            dirty: fields.number(&format!("dirty {}", keg.id))?.unwrap_or(0),
        })
    });
    let there = Stock {
        empty: empty.collect::<Result<_, Refusal>>()?,
        filled: filled(fields, &rows, units)?,
        ready: ready(fields, &rows, zone)?,
        on_tap: on_tap(fields, &rows, units, zone)?,
        under_way: UnderWay {
            at_bar: at_bar(fields, &rows)?,
            ..UnderWay::default()
        },
        ..books
    };
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

/// How many of a row were found; as many as it says where the form does not name it.
fn kegs_of(fields: &Fields, name: &str, known: u16) -> Result<u16, Refusal> {
    match fields.get(name) {
        None => Ok(known),
        Some(_) => Ok(fields.number(name)?.unwrap_or(0)),
    }
}

/// A number that was changed in a form, in its metric unit; none where it stands as it was shown.
fn changed(
    fields: &Fields,
    name: &str,
    was: f64,
    metric: Unit,
    units: Units,
) -> Result<Option<f64>, Refusal> {
    let unit = units.read_in(metric);
    let shown = units.typed(converted(was, metric, unit));
    match fields.get(name).map(str::trim) {
        None => Ok(None),
        Some(text) if text == shown => Ok(None),
        Some(_) => {
            let said: Option<f64> = fields.number(name)?;
            Ok(Some(converted(said.unwrap_or(0.0), unit, metric)))
        }
    }
}

fn filled(fields: &Fields, rows: &Rows, units: Units) -> Result<Vec<FilledKegs>, Refusal> {
    let mut left = Vec::new();
    for (n, row) in rows.filled.iter().enumerate() {
        let name = format!("filled {n} temperature");
        let was = row.temperature_c.celsius();
        let mut row = FilledKegs {
            kegs: kegs_of(fields, &format!("filled {n}"), row.kegs)?,
            ..row.clone()
        };
        if let Some(c) = changed(fields, &name, was, Unit::C, units)? {
            row.temperature_c = said(&name, c)?;
        }
        left.push(row);
    }
    let more: Option<u16> = fields.number("filled new")?;
    if let Some(kegs) = more {
        let name = "filled new temperature";
        let c: Option<f64> = fields.number(name)?;
        let c = c.ok_or_else(|| Refusal::field(name, "nothing found; a number is needed"))?;
        let c = converted(c, units.read_in(Unit::C), Unit::C);
        left.push(FilledKegs {
            keg_type: said("filled new keg_type", chosen(fields, "filled new keg_type"))?,
            store: said("filled new store", chosen(fields, "filled new store"))?,
            kegs,
            temperature_c: said(name, c)?,
            air_mg_per_l: None,
            co2_g_per_l: None,
        });
    }
    left.retain(|row| row.kegs > 0);
    Ok(left)
}

fn ready(fields: &Fields, rows: &Rows, zone: Tz) -> Result<Vec<ReadyKegs>, Refusal> {
    let mut left = Vec::new();
    for (n, row) in rows.ready.iter().enumerate() {
        left.push(ReadyKegs {
            kegs: kegs_of(fields, &format!("ready {n}"), row.kegs)?,
            ..row.clone()
        });
    }
    let more: Option<u16> = fields.number("ready new")?;
    if let Some(kegs) = more {
        left.push(ReadyKegs {
            product: said("ready new product", chosen(fields, "ready new product"))?,
            keg_type: said("ready new keg_type", chosen(fields, "ready new keg_type"))?,
            store: said("ready new store", chosen(fields, "ready new store"))?,
            kegs,
            gassed_at: when(fields, "ready new since", zone)?,
        });
    }
    left.retain(|row| row.kegs > 0);
    Ok(left)
}

fn on_tap(
    fields: &Fields,
    rows: &Rows,
    units: Units,
    zone: Tz,
) -> Result<Vec<TappedKegs>, Refusal> {
    let mut left = Vec::new();
    for (n, row) in rows.on_tap.iter().enumerate() {
        let name = format!("tap {n}");
        let mut row = row.clone();
        if let Some(litres) = changed(fields, &name, row.litres.litres(), Unit::L, units)? {
            row.litres = said(&name, litres)?;
        }
        left.push(row);
    }
    let more: Option<f64> = fields.number("tap new")?;
    if let Some(litres) = more {
        let litres = converted(litres, units.read_in(Unit::L), Unit::L);
        left.push(TappedKegs {
            product: said("tap new product", chosen(fields, "tap new product"))?,
            keg_type: said("tap new keg_type", chosen(fields, "tap new keg_type"))?,
            litres: said("tap new", litres)?,
            tapped_at: when(fields, "tap new since", zone)?,
        });
    }
    left.retain(|row| row.litres.litres() > 0.0);
    Ok(left)
}

fn at_bar(fields: &Fields, rows: &Rows) -> Result<Vec<KegsAtBar>, Refusal> {
    let mut left = Vec::new();
    for (n, row) in rows.at_bar.iter().enumerate() {
        left.push(KegsAtBar {
            kegs: kegs_of(fields, &format!("bar {n}"), row.kegs)?,
            ..row.clone()
        });
    }
    left.retain(|row| row.kegs > 0);
    Ok(left)
}

/// What a field says, through the same door as JSON, by the field's own name.
fn said<T: serde::de::DeserializeOwned>(field: &str, value: impl Serialize) -> Result<T, Refusal> {
    let value = serde_json::to_value(value).map_err(Refusal::internal)?;
    serde_json::from_value(value).map_err(|error| Refusal::field(field, error.to_string()))
}

fn chosen<'a>(fields: &'a Fields, name: &str) -> &'a str {
    fields.get(name).unwrap_or_default()
}

fn when(fields: &Fields, name: &str, zone: Tz) -> Result<DateTime<FixedOffset>, Refusal> {
    let at = fields.time(name, zone)?;
    at.ok_or_else(|| Refusal::field(name, "nothing found; a time is needed"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows() -> Rows {
        Rows::of(&scheduler::sample::fixed().stock)
    }

    fn fields(text: &str) -> Fields {
        Fields::parse(text.as_bytes())
    }

    #[test]
    fn what_is_not_touched_stays_to_the_last_digit() {
        let rows = rows();
        let zone = scheduler::sample::ZONE;
        for units in [Units::METRIC, Units::US] {
            let shown =
                |x: f64, metric, us| units.typed(converted(x, metric, units.of(metric, us)));
            let mut form = form_urlencoded::Serializer::new(String::new());
            for (n, row) in rows.on_tap.iter().enumerate() {
                let litres = shown(row.litres.litres(), Unit::L, Unit::UsGal);
                form.append_pair(&format!("tap {n}"), &litres);
            }
            for (n, row) in rows.filled.iter().enumerate() {
                form.append_pair(&format!("filled {n}"), &row.kegs.to_string());
                let degrees = shown(row.temperature_c.celsius(), Unit::C, Unit::F);
                form.append_pair(&format!("filled {n} temperature"), &degrees);
            }
            let form = fields(&form.finish());
            assert_eq!(on_tap(&form, &rows, units, zone).unwrap(), rows.on_tap);
            assert_eq!(filled(&form, &rows, units).unwrap(), rows.filled);
            assert_eq!(ready(&form, &rows, zone).unwrap(), rows.ready);
        }
    }

    #[test]
    fn what_was_found_besides_is_added_and_what_is_gone_goes() {
        let rows = rows();
        let zone = scheduler::sample::ZONE;
        let found = filled(
            &fields(
                "filled+new=4&filled+new+keg_type=keg-19&filled+new+store=walk-in\
                 &filled+new+temperature=50",
            ),
            &rows,
            Units::US,
        )
        .unwrap();
        assert_eq!(found.len(), rows.filled.len() + 1);
        // 50 °F are 10 °C.
        let last = found.last().unwrap();
        assert!((last.temperature_c.celsius() - 10.0).abs() < 1e-9 && last.kegs == 4);
        let tapped = on_tap(
            &fields(
                "tap+new=6%2C5&tap+new+product=tonic&tap+new+keg_type=keg-19\
                 &tap+new+since=2026-05-31T18:00",
            ),
            &rows,
            Units::METRIC,
            zone,
        )
        .unwrap();
        assert!((tapped.last().unwrap().litres.litres() - 6.5).abs() < 1e-9);
        let gone: String = (0..rows.ready.len())
            .map(|n| format!("ready+{n}=&"))
            .collect();
        assert!(ready(&fields(&gone), &rows, zone).unwrap().is_empty());
        let wrong = filled(&fields("filled+new=4"), &rows, Units::METRIC).unwrap_err();
        assert!(
            wrong.to_string().contains("filled new temperature"),
            "{wrong}"
        );
    }
}
