//! What was pasted from a spreadsheet: a grid of services by products, or the full table.

use chrono::{DateTime, FixedOffset, NaiveDateTime};
use chrono_tz::Tz;
use scheduler::check::Fault;
use scheduler::scenario::{Demand, DemandKind, Priority, Product, is_instant, no_instant};

use super::super::fields::on_clock;
use super::grid::{named, volume};
use crate::domain::Refusal;
use crate::domain::demand::table;
use crate::text::units::Units;

/// How people write a date and time in a spreadsheet, besides RFC 3339.
const TIMES: [&str; 4] = [
    "%Y-%m-%d %H:%M",
    "%Y-%m-%d %H:%M:%S",
    "%Y-%m-%dT%H:%M",
    "%d.%m.%Y %H:%M",
];

/// Reads lines of demand. The first line names the columns: those of the full table (`id`,
/// `product`, `due`, …), or a service's time and then products.
///
/// # Errors
/// Every line that cannot be used, by its number.
pub(super) fn read(
    text: &str,
    products: &[Product],
    units: Units,
    zone: Tz,
) -> Result<Vec<Demand>, Refusal> {
    let first = text.lines().next().unwrap_or_default();
    if first.trim().is_empty() {
        let what = "nothing found; the first line names the columns";
        return Err(Refusal::field("line 1", what));
    }
    let tabs = first.contains('\t');
    if names_lines(text) {
        return if tabs {
            table::read(with_commas(text)?.as_slice())
        } else {
            table::read(text.as_bytes())
        };
    }
    grid(text, tabs, products, units, zone)
}

/// Whether each line of demand has its id: the full table, and not a grid.
pub(super) fn names_lines(text: &str) -> bool {
    let first = text.lines().next().unwrap_or_default();
    let mut columns = first.split(['\t', ',']).map(str::trim);
    columns.clone().any(|name| name == "id") && columns.any(|name| name == "due")
}

/// The same table with commas for tabs.
fn with_commas(text: &str) -> Result<Vec<u8>, Refusal> {
    let mut rows = csv::ReaderBuilder::new()
        .delimiter(b'\t')
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes());
    let mut table = csv::WriterBuilder::new()
        .flexible(true)
        .from_writer(Vec::new());
    for row in rows.records() {
        let row = row.map_err(|error| Refusal::field("table", error.to_string()))?;
        table.write_record(&row).map_err(Refusal::internal)?;
    }
    table
        .into_inner()
        .map_err(|error| Refusal::internal(error.to_string()))
}

fn grid(
    text: &str,
    tabs: bool,
    products: &[Product],
    units: Units,
    zone: Tz,
) -> Result<Vec<Demand>, Refusal> {
    let mut rows = csv::ReaderBuilder::new()
        .delimiter(if tabs { b'\t' } else { b',' })
        .terminator(csv::Terminator::Any(b'\n'))
        .trim(csv::Trim::All)
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes());
    let mut columns: Vec<&Product> = Vec::new();
    let (mut lines, mut faults) = (Vec::new(), Vec::new());
    for row in rows.records() {
        let row = row.map_err(|error| Refusal::field("table", error.to_string()))?;
        let line = row.position().map_or(0, csv::Position::line);
        let mut refuse = |field: &str, what: String| {
            faults.push(Fault {
                field: format!("line {line}, {field}"),
                what,
            });
        };
        if columns.is_empty() {
            columns = header(&row, products)?;
            continue;
        }
        let due = match instant(row.get(0).unwrap_or_default(), zone) {
            Ok(due) => due,
            Err(what) => {
                refuse("service", what);
                continue;
            }
        };
        let cells = row.iter().enumerate().skip(1);
        for (n, text) in cells.filter(|(_, text)| !text.is_empty()) {
            let Some(product) = columns.get(n - 1) else {
                refuse(
                    &format!("column {}", n + 1),
                    "no product stands above it".to_owned(),
                );
                continue;
            };
            match volume(text, units) {
                Ok(litres) => lines.push(Demand {
                    id: named(product, due)?,
                    product: product.id.clone(),
                    due,
                    litres,
                    priority: Priority::USUAL,
                    kind: DemandKind::Forecast,
                    note: None,
                }),
                Err(what) => refuse(&product.name, what),
            }
        }
    }
    if faults.is_empty() {
        Ok(lines)
    } else {
        Err(Refusal::Invalid(faults))
    }
}

/// The products that head the columns, by id or by name.
fn header<'a>(
    row: &csv::StringRecord,
    products: &'a [Product],
) -> Result<Vec<&'a Product>, Refusal> {
    let known = |text: &str| {
        products
            .iter()
            .find(|p| p.id.as_str() == text || p.name.eq_ignore_ascii_case(text))
    };
    let heads = row.iter().skip(1);
    heads
        .map(|text| {
            known(text).ok_or_else(|| {
                let names: Vec<&str> = products.iter().map(|p| p.name.as_str()).collect();
                let what = format!(
                    "there is no product \"{text}\"; there are {}",
                    names.join(", ")
                );
                Refusal::field("line 1", what)
            })
        })
        .collect()
}

fn instant(text: &str, zone: Tz) -> Result<DateTime<FixedOffset>, String> {
    if let Ok(at) = DateTime::parse_from_rfc3339(text) {
        return is_instant(at).then_some(at).ok_or(no_instant(text));
    }
    let mut ways = TIMES.iter();
    let found = ways.find_map(|way| NaiveDateTime::parse_from_str(text, way).ok());
    let naive = found.ok_or_else(|| {
        format!("\"{text}\" found; a date and time is allowed, such as 2026-06-05 17:00")
    })?;
    on_clock(naive, zone)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read_metric(text: &str) -> Result<Vec<Demand>, Refusal> {
        let scenario = scheduler::sample::fixed();
        read(
            text,
            &scenario.setup.products,
            Units::METRIC,
            scenario.site.time_zone,
        )
    }

    #[test]
    fn a_grid_is_read_by_names_and_ids() {
        let lines = read_metric(
            "service\tPlain soda\ttonic\n2026-06-05 17:00\t52\t30\n2026-06-06 17:00\t\t35\n",
        );
        let lines = lines.unwrap();
        assert_eq!(lines.len(), 3);
        assert_eq!(lines[0].id.as_str(), "plain-soda-20260605-1700");
        assert_eq!(lines[2].due.to_rfc3339(), "2026-06-06T17:00:00+01:00");
    }

    #[test]
    fn the_full_table_is_read_with_tabs_too() {
        let text =
            "id,product,due,litres,priority,kind\na,tonic,2026-06-05T17:00:00Z,20,3,booking\n";
        assert_eq!(
            read_metric(text).unwrap(),
            read_metric(&text.replace(',', "\t")).unwrap()
        );
    }

    #[test]
    fn what_is_wrong_is_told_by_line() {
        let check = |text: &str, field: &str, part: &str| {
            let Err(Refusal::Invalid(faults)) = read_metric(text) else {
                panic!("{text} is taken");
            };
            assert_eq!(faults[0].field, field, "{faults:?}");
            assert!(faults[0].what.contains(part), "{faults:?}");
        };
        check("", "line 1", "nothing");
        check("when,cola\n", "line 1", "cola");
        check(
            "when,tonic\n2026-06-05 17:00,20\nfriday,20\n",
            "line 3, service",
            "friday",
        );
        // A browser sends the ends of lines as Windows writes them.
        check(
            "when,tonic\r\n2026-06-05 17:00,20\r\n2026-06-06 17:00,lots\r\n",
            "line 3, House tonic",
            "lots",
        );
        check(
            "when,tonic\n2026-06-05 17:00,lots\n",
            "line 2, House tonic",
            "lots",
        );
        check(
            "when,tonic\n2026-06-05 17:00,20,30\n",
            "line 2, column 3",
            "no product",
        );
    }
}
