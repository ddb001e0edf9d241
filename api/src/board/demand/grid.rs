//! The grid: a row for each service, a column for each product, and what was changed in it.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};
use chrono_tz::Tz;
use model::units::{Unit, converted};
use scheduler::scenario::quantities::DemandVolume;
use scheduler::scenario::{Demand, DemandId, DemandKind, Priority, Product, is_instant};

use super::super::fields::Fields;
use crate::domain::Refusal;
use crate::domain::demand::forecast_at;
use crate::text::units::Units;

/// A service with a cell for each product.
pub(super) struct Row {
    pub(super) name: String,
    pub(super) cells: Vec<Cell>,
}

/// What is wanted of a product at a service.
pub(super) struct Cell {
    /// The field, which names product and service.
    pub(super) field: String,
    pub(super) label: String,
    /// The forecast that can be changed here.
    pub(super) value: String,
    /// What is booked or forecast besides.
    pub(super) beside: Vec<String>,
}

/// A booking below the grid.
pub(super) struct Booking {
    pub(super) id: String,
    pub(super) when: String,
    pub(super) what: String,
    pub(super) note: String,
}

/// Lines that are to be put, and lines that are to go.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Changes {
    pub(super) put: Vec<Demand>,
    pub(super) gone: Vec<DemandId>,
}

fn written(litres: f64, units: Units) -> String {
    units.typed(converted(litres, Unit::L, units.read_in(Unit::L)))
}

pub(super) fn rows(lines: &[Demand], products: &[Product], units: Units) -> Vec<Row> {
    let mut services: BTreeMap<DateTime<FixedOffset>, ()> = BTreeMap::new();
    for line in lines {
        services.insert(line.due, ());
    }
    let row = |due: DateTime<FixedOffset>| {
        let cells = products.iter().map(|product| {
            let first = forecast_at(lines, &product.id, due);
            let beside = lines.iter().filter(|line| {
                line.product == product.id
                    && line.due == due
                    && first.is_none_or(|first| first.id != line.id)
            });
            let beside = beside.map(|line| {
                let kind = match line.kind {
                    DemandKind::Booking => "booked",
                    DemandKind::Forecast => "forecast",
                };
                format!("+ {} {kind}", units.litres(line.litres.litres()))
            });
            Cell {
                field: format!("{}@{}", product.id, due.to_rfc3339()),
                label: format!("{}, {}", product.name, units.day_and_time(due)),
                value: first.map_or_else(String::new, |l| written(l.litres.litres(), units)),
                beside: beside.collect(),
            }
        });
        Row {
            name: units.day_and_time(due),
            cells: cells.collect(),
        }
    };
    services.into_keys().map(row).collect()
}

pub(super) fn bookings(lines: &[Demand], products: &[Product], units: Units) -> Vec<Booking> {
    let booked = lines.iter().filter(|line| line.kind == DemandKind::Booking);
    let shown = |line: &Demand| {
        let product = products.iter().find(|p| p.id == line.product);
        let product = product.map_or(line.product.as_str(), |p| p.name.as_str());
        Booking {
            id: line.id.to_string(),
            when: units.day_and_time(line.due),
            what: format!("{} of {product}", units.litres(line.litres.litres())),
            note: line.note.clone().unwrap_or_default(),
        }
    };
    booked.map(shown).collect()
}

/// What a form changes: cells that are no longer as they were shown, and a new row.
///
/// # Errors
/// A cell that is no number, or that somebody else changed since it was shown.
pub(super) fn changed(
    fields: &Fields,
    lines: &[Demand],
    products: &[Product],
    units: Units,
    zone: Tz,
) -> Result<Changes, Refusal> {
    let mut found = Changes::default();
    for (field, was) in fields.under("was ") {
        let Some((product, due)) = cell_of(field, products) else {
            continue;
        };
        let name = format!("now {field}");
        let now = fields.get(&name).unwrap_or(was).trim();
        if now == was {
            continue;
        }
        let line = forecast_at(lines, &product.id, due);
        let stands = line.map_or_else(String::new, |l| written(l.litres.litres(), units));
        let forecast = Forecast { product, due, line };
        if stands != was {
            let what = format!("{was} was shown and {stands} stands there now; somebody was first");
            return Err(Refusal::field(forecast.label(units), what));
        }
        forecast.put(now, units, &mut found)?;
    }
    if let Some(due) = fields.time("new_due", zone)? {
        for product in products {
            let now = fields
                .text(&format!("new {}", product.id))
                .unwrap_or_default();
            if now.is_empty() {
                continue;
            }
            let forecast = Forecast {
                product,
                due,
                line: None,
            };
            if forecast_at(lines, &product.id, due).is_some() {
                let what = "there is a forecast already; change it in its row";
                return Err(Refusal::field(forecast.label(units), what));
            }
            forecast.put(now, units, &mut found)?;
        }
    }
    Ok(found)
}

fn cell_of<'a>(
    field: &str,
    products: &'a [Product],
) -> Option<(&'a Product, DateTime<FixedOffset>)> {
    let (product, due) = field.split_once('@')?;
    let product = products.iter().find(|p| p.id.as_str() == product)?;
    let due = DateTime::parse_from_rfc3339(due).ok()?;
    is_instant(due).then_some((product, due))
}

/// What is forecast of a product at a time.
struct Forecast<'a> {
    product: &'a Product,
    due: DateTime<FixedOffset>,
    /// As it stands; none where nothing is forecast.
    line: Option<&'a Demand>,
}

impl Forecast<'_> {
    fn label(&self, units: Units) -> String {
        format!("{}, {}", self.product.name, units.day_and_time(self.due))
    }

    /// Notes what somebody wrote into it; nothing takes the line away.
    fn put(&self, text: &str, units: Units, found: &mut Changes) -> Result<(), Refusal> {
        if text.is_empty() {
            found.gone.extend(self.line.map(|line| line.id.clone()));
            return Ok(());
        }
        let litres = volume(text, units).map_err(|what| Refusal::field(self.label(units), what))?;
        let line = match self.line {
            Some(line) => Demand {
                litres,
                ..line.clone()
            },
            None => Demand {
                id: named(self.product, self.due)?,
                product: self.product.id.clone(),
                due: self.due,
                litres,
                priority: Priority::USUAL,
                kind: DemandKind::Forecast,
                note: None,
            },
        };
        found.put.push(line);
        Ok(())
    }
}

/// A volume as somebody wrote it.
pub(super) fn volume(text: &str, units: Units) -> Result<DemandVolume, String> {
    let parsed: f64 = text
        .replace(',', ".")
        .parse()
        .map_err(|_| format!("\"{text}\" found; a number is allowed"))?;
    let litres = converted(parsed, units.read_in(Unit::L), Unit::L);
    DemandVolume::new(litres).map_err(|error| error.to_string())
}

/// What a line is called that has no name of its own: its product and its service.
pub(super) fn named(product: &Product, due: DateTime<FixedOffset>) -> Result<DemandId, Refusal> {
    let name = format!("{}-{}", product.id, due.format("%Y%m%d-%H%M"));
    DemandId::try_from(name).map_err(|error| Refusal::field("id", error.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn form(pairs: &[(&str, &str)]) -> Fields {
        let mut text = form_urlencoded::Serializer::new(String::new());
        text.extend_pairs(pairs);
        Fields::parse(text.finish().as_bytes())
    }

    #[test]
    fn only_changed_cells_change_lines() {
        let scenario = scheduler::sample::fixed();
        let (lines, products) = (&scenario.demand, &scenario.setup.products);
        let zone = scenario.site.time_zone;
        let all = rows(lines, products, Units::METRIC);
        let cell = |product: &str| {
            let field = |cell: &&Cell| cell.field.starts_with(&format!("{product}@"));
            all[0].cells.iter().find(field).unwrap()
        };
        let (plain, tonic) = (cell("plain-soda"), cell("tonic"));
        let now = |cell: &Cell| format!("now {}", cell.field);
        let was = |cell: &Cell| format!("was {}", cell.field);
        let edit = form(&[
            (&was(plain), &plain.value),
            (&now(plain), "13,5"),
            (&was(tonic), &tonic.value),
            (&now(tonic), ""),
        ]);
        let found = changed(&edit, lines, products, Units::METRIC, zone).unwrap();
        assert_eq!(found.put.len(), 1);
        assert!((found.put[0].litres.litres() - 13.5).abs() < 1e-9);
        assert_eq!(found.gone.len(), 1);
        let same = form(&[(&was(plain), &plain.value), (&now(plain), &plain.value)]);
        let found = changed(&same, lines, products, Units::METRIC, zone).unwrap();
        assert_eq!(found, Changes::default());
        let stale = form(&[(&was(plain), "1"), (&now(plain), "2")]);
        let refused = changed(&stale, lines, products, Units::METRIC, zone).unwrap_err();
        assert!(refused.to_string().contains("somebody was first"));
    }

    #[test]
    fn gallons_are_stored_as_litres() {
        let litres = volume("5", Units::US).unwrap().litres();
        // 1 US gal is 3.785412 L (NIST SP 811, table B.8).
        assert!((litres - 5.0 * 3.785_412).abs() < 1e-4);
        assert!(volume("many", Units::METRIC).unwrap_err().contains("many"));
    }
}
