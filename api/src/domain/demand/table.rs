//! Demand as a table (CSV, RFC 4180): one line of demand a row, errors with the number of the line.

use std::io::Read;

use scheduler::check::{Fault, LARGEST_DEMAND_LINES};
use scheduler::scenario::Demand;
use serde::Serialize;
use serde_json::{Map, Value};

use crate::domain::{Refusal, cells};

/// The columns, in the order they are written; they can be read in any.
pub(crate) const COLUMNS: [&str; 7] =
    ["id", "product", "due", "litres", "priority", "kind", "note"];

/// Columns a table can do without.
const OPTIONAL: [&str; 1] = ["note"];

/// The most faults that are told at once.
const MOST_FAULTS: usize = 100;

/// Reads a table row by row.
///
/// # Errors
/// Every row that cannot be used, by the number of its line in the file.
pub(crate) fn read(source: impl Read) -> Result<Vec<Demand>, Refusal> {
    // A line that ends as Windows ends it counts once; what is left of its end is trimmed.
    let mut table = csv::ReaderBuilder::new()
        .terminator(csv::Terminator::Any(b'\n'))
        .trim(csv::Trim::All)
        .from_reader(source);
    let header = table.headers().map_err(|error| broken(&error))?.clone();
    check_header(&header)?;
    let mut lines = Vec::new();
    let mut faults = Vec::new();
    for row in table.records() {
        let row = row.map_err(|error| broken(&error))?;
        let line = row.position().map_or(0, csv::Position::line);
        match demand(&header, &row) {
            Ok(demand) => lines.push(demand),
            Err((field, what)) => faults.push(Fault {
                field: format!("line {line}, {field}"),
                what,
            }),
        }
        if lines.len() > LARGEST_DEMAND_LINES {
            let what = format!("at most {LARGEST_DEMAND_LINES} lines are allowed at once");
            return Err(Refusal::field(format!("line {line}"), what));
        }
        if faults.len() >= MOST_FAULTS {
            break;
        }
    }
    if faults.is_empty() {
        Ok(lines)
    } else {
        Err(Refusal::Invalid(faults))
    }
}

/// Writes lines of demand as a part of a table; its first part also names the columns.
pub(crate) fn write(lines: &[Demand], first: bool) -> Result<Vec<u8>, Refusal> {
    let mut table = csv::Writer::from_writer(Vec::new());
    if first {
        table.write_record(COLUMNS).map_err(Refusal::internal)?;
    }
    for line in lines {
        let row = [
            cells::out(line.id.as_str()).into_owned(),
            cells::out(line.product.as_str()).into_owned(),
            line.due.to_rfc3339(),
            line.litres.litres().to_string(),
            line.priority.number().to_string(),
            word(&line.kind)?,
            cells::out(line.note.as_deref().unwrap_or_default()).into_owned(),
        ];
        table.write_record(row).map_err(Refusal::internal)?;
    }
    table
        .into_inner()
        .map_err(|error| Refusal::internal(error.to_string()))
}

/// What was read, and what it would change or has changed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub(crate) struct TableOutcome {
    /// Whether nothing was stored because a dry run was asked for.
    #[schema(example = false)]
    pub(crate) dry_run: bool,
    /// Lines of demand in the table.
    #[schema(minimum = 0, example = 42)]
    pub(crate) lines: usize,
    /// Of these, lines that are new.
    #[schema(minimum = 0, example = 40)]
    pub(crate) new: usize,
    /// Of these, lines that replace one with the same id.
    #[schema(minimum = 0, example = 2)]
    pub(crate) replaced: usize,
}

fn check_header(header: &csv::StringRecord) -> Result<(), Refusal> {
    let missing = COLUMNS
        .iter()
        .filter(|name| !OPTIONAL.contains(name))
        .find(|name| !header.iter().any(|column| column == **name));
    let unknown = header.iter().find(|column| !COLUMNS.contains(column));
    let what = match (missing, unknown) {
        (Some(name), _) => format!("there is no column \"{name}\""),
        (None, Some(name)) => format!("column \"{name}\" found"),
        (None, None) => return Ok(()),
    };
    Err(Refusal::field(
        "line 1",
        format!("{what}; the columns are {}", COLUMNS.join(", ")),
    ))
}

/// One row, through the same door as JSON.
fn demand(header: &csv::StringRecord, row: &csv::StringRecord) -> Result<Demand, (String, String)> {
    let mut fields = Map::new();
    for (name, text) in header.iter().zip(row) {
        let value = match name {
            "litres" | "priority" => number(name, text)?,
            _ if text.is_empty() => continue,
            _ => Value::from(cells::back(text)),
        };
        fields.insert(name.to_owned(), value);
    }
    serde_path_to_error::deserialize(Value::Object(fields)).map_err(|error| {
        let field = error.path().to_string();
        let field = if field == "." {
            "row".to_owned()
        } else {
            field
        };
        (field, error.into_inner().to_string())
    })
}

fn number(name: &str, text: &str) -> Result<Value, (String, String)> {
    let parsed = if name == "priority" {
        text.parse::<u64>().ok().map(Value::from)
    } else {
        let number = text.parse::<f64>().ok();
        number
            .and_then(serde_json::Number::from_f64)
            .map(Value::Number)
    };
    parsed.ok_or_else(|| {
        let what = format!("\"{text}\" found; a number is allowed, with a point for decimals");
        (name.to_owned(), what)
    })
}

fn word(kind: &impl Serialize) -> Result<String, Refusal> {
    let value = serde_json::to_value(kind).map_err(Refusal::internal)?;
    Ok(value.as_str().unwrap_or_default().to_owned())
}

fn broken(error: &csv::Error) -> Refusal {
    let line = error.position().map_or(0, csv::Position::line);
    Refusal::field(format!("line {line}"), error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_read_again() {
        let mut lines = scheduler::sample::fixed().demand;
        lines[0].note = Some("Wedding, \"big\"\none".to_owned());
        let table = write(&lines, true).unwrap();
        assert_eq!(read(table.as_slice()).unwrap(), lines);
        lines[0].note = Some("=HYPERLINK(\"x\"), \"big\"".to_owned());
        let table = String::from_utf8(write(&lines, true).unwrap()).unwrap();
        let table = table.replace('\n', "\r\n");
        assert_eq!(read(table.as_bytes()).unwrap(), lines);
    }

    #[test]
    fn what_is_wrong_is_named_by_line_and_column() {
        let check = |rows: &str, field: &str, part: &str| {
            let table = format!("id,product,due,litres,priority,kind\n{rows}");
            let Err(Refusal::Invalid(faults)) = read(table.as_bytes()) else {
                panic!("{rows} is taken");
            };
            assert_eq!(faults[0].field, field, "{faults:?}");
            assert!(faults[0].what.contains(part), "{faults:?}");
        };
        let good = "a,tonic,2026-06-05T17:00:00+01:00,20,3,booking\n";
        check(
            &format!("{good}b,tonic,2026-06-05T17:00:00+01:00,many,3,booking"),
            "line 3, litres",
            "many",
        );
        check(
            &format!("{good}b,tonic,2026-06-05T17:00:00+01:00,many,3,booking\n")
                .replace('\n', "\r\n"),
            "line 3, litres",
            "many",
        );
        check("a,tonic,2026-06-05,20,3,booking", "line 2, due", "");
        check(
            "a,tonic,2026-02-30T17:00:00Z,20,3,booking",
            "line 2, due",
            "",
        );
        check(
            "a,tonic,2026-06-05T17:00:00Z,20,9,booking",
            "line 2, priority",
            "",
        );
        check(
            "a,tonic,2026-06-05T17:00:00Z,20,3,hope",
            "line 2, kind",
            "hope",
        );
        check("a,tonic,2026-06-05T17:00:00Z,20,3", "line 2", "");
    }

    #[test]
    fn a_header_names_every_column_that_is_needed() {
        let refused = |text: &str| read(text.as_bytes()).unwrap_err().to_string();
        assert!(refused("id,product\n").contains("no column \"due\""));
        let more = "id,product,due,litres,priority,kind,colour\n";
        assert!(refused(more).contains("colour"));
    }
}
