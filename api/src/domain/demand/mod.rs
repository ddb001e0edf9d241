//! Demand: what is wanted, and when.

pub(crate) mod table;

use chrono::{DateTime, FixedOffset};
use chrono_tz::Tz;
use scheduler::check::{Fault, LARGEST_DEMAND_LINES};
use scheduler::scenario::quantities::DemandVolume;
use scheduler::scenario::{Demand, DemandId, DemandKind, Priority, ProductId};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::setup::SetupDocument;
use super::{Refusal, time};

/// The longest note, in characters.
const LONGEST_NOTE: usize = 200;

/// A line of demand, without the id that names it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct DemandLine {
    /// The product.
    pub(crate) product: ProductId,
    /// The service: the time by which it must be on tap (RFC 3339, with an offset).
    #[schema(value_type = String, format = DateTime, example = "2026-06-05T17:00:00+01:00")]
    #[serde(deserialize_with = "scheduler::scenario::instants::instant")]
    pub(crate) due: DateTime<FixedOffset>,
    /// How much.
    pub(crate) litres: DemandVolume,
    /// 1 is served first, 5 last.
    pub(crate) priority: Priority,
    /// Where the number comes from; a booking outranks a forecast of the same priority.
    pub(crate) kind: DemandKind,
    /// What people call it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(max_length = 200, example = "Wedding, 80 guests")]
    pub(crate) note: Option<String>,
}

impl DemandLine {
    /// The line under its id.
    pub(crate) fn named(self, id: DemandId) -> Demand {
        Demand {
            id,
            product: self.product,
            due: self.due,
            litres: self.litres,
            priority: self.priority,
            kind: self.kind,
            note: self.note,
        }
    }
}

/// The one line of a product's service that is changed in place: its first forecast.
pub(crate) fn forecast_at<'a>(
    lines: &'a [Demand],
    product: &ProductId,
    due: DateTime<FixedOffset>,
) -> Option<&'a Demand> {
    let mut here = lines
        .iter()
        .filter(|l| l.product == *product && l.due == due);
    here.find(|line| line.kind == DemandKind::Forecast)
}

/// A stretch of time: its first instant belongs to it, its last does not.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Range {
    pub(crate) from: Option<DateTime<FixedOffset>>,
    pub(crate) to: Option<DateTime<FixedOffset>>,
}

impl Range {
    /// Whenever.
    pub(crate) const ALWAYS: Self = Self {
        from: None,
        to: None,
    };

    /// From now on.
    pub(crate) fn to_come(zone: Tz) -> Self {
        Self {
            from: Some(time::now().with_timezone(&zone).fixed_offset()),
            to: None,
        }
    }

    /// Whether an instant lies in it.
    pub(crate) fn holds(&self, at: DateTime<FixedOffset>) -> bool {
        self.from.is_none_or(|from| from <= at) && self.to.is_none_or(|to| at < to)
    }

    /// Refuses a range that ends before it starts.
    pub(crate) fn check(self) -> Result<Self, Refusal> {
        match (self.from, self.to) {
            (Some(from), Some(to)) if to <= from => Err(Refusal::field(
                "to",
                format!(
                    "{} found; it must be later than `from`, {}",
                    to.to_rfc3339(),
                    from.to_rfc3339()
                ),
            )),
            _ => Ok(self),
        }
    }
}

/// Checks one line against the site's products, where it has a setup.
pub(crate) fn check_line(line: &Demand, setup: Option<&SetupDocument>) -> Result<(), Refusal> {
    let faults = faults("", line, setup);
    if faults.is_empty() {
        Ok(())
    } else {
        Err(Refusal::Invalid(faults))
    }
}

/// Checks the lines that are to replace a range.
pub(crate) fn check_lines(
    lines: &[Demand],
    range: Range,
    setup: Option<&SetupDocument>,
) -> Result<(), Refusal> {
    if lines.len() > LARGEST_DEMAND_LINES {
        return Err(Refusal::field(
            "demand",
            format!(
                "{} lines found; at most {LARGEST_DEMAND_LINES} are allowed at once",
                lines.len()
            ),
        ));
    }
    let mut seen = std::collections::BTreeSet::new();
    let mut wrong = Vec::new();
    for (n, line) in lines.iter().enumerate() {
        let field = format!("demand[{n}].");
        wrong.extend(faults(&field, line, setup));
        if !seen.insert(&line.id) {
            wrong.push(Fault {
                field: format!("{field}id"),
                what: format!("a second line \"{}\"; each id is allowed once", line.id),
            });
        }
        if !range.holds(line.due) {
            wrong.push(Fault {
                field: format!("{field}due"),
                what: format!(
                    "{} found; it must lie in the range that is replaced, from `from` up to before \
                     `to`",
                    line.due.to_rfc3339()
                ),
            });
        }
    }
    if wrong.is_empty() {
        Ok(())
    } else {
        Err(Refusal::Invalid(wrong))
    }
}

fn faults(prefix: &str, line: &Demand, setup: Option<&SetupDocument>) -> Vec<Fault> {
    let mut faults = Vec::new();
    let products = setup.map(|document| document.setup.products.as_slice());
    if let Some(products) = products.filter(|list| list.iter().all(|p| p.id != line.product)) {
        let known: Vec<&str> = products.iter().map(|p| p.id.as_str()).collect();
        faults.push(Fault {
            field: format!("{prefix}product"),
            what: format!(
                "there is no product \"{}\"; the setup has: {}",
                line.product,
                known.join(", ")
            ),
        });
    }
    let length = line.note.as_ref().map_or(0, |note| note.chars().count());
    let control = |c: char| c.is_control() && c != '\n';
    if line
        .note
        .as_ref()
        .is_some_and(|note| note.contains(control))
    {
        faults.push(Fault {
            field: format!("{prefix}note"),
            what: "a control character found; printable ones and line breaks are allowed"
                .to_owned(),
        });
    }
    if length > LONGEST_NOTE {
        faults.push(Fault {
            field: format!("{prefix}note"),
            what: format!("{length} characters found; at most {LONGEST_NOTE} are allowed"),
        });
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    fn week() -> (Vec<Demand>, SetupDocument) {
        let scenario = scheduler::sample::fixed();
        let document = SetupDocument {
            setup: scenario.setup,
            policy: scenario.policy,
        };
        (scenario.demand, document)
    }

    #[test]
    fn the_demo_week_is_in_order() {
        let (lines, setup) = week();
        assert!(check_lines(&lines, Range::ALWAYS, Some(&setup)).is_ok());
    }

    #[test]
    fn lines_outside_the_range_and_repeated_ids_are_named() {
        let (mut lines, setup) = week();
        lines[1].id = lines[0].id.clone();
        let range = Range {
            from: Some(lines[0].due + chrono::Duration::hours(1)),
            to: None,
        };
        let Refusal::Invalid(faults) = check_lines(&lines[..2], range, Some(&setup)).unwrap_err()
        else {
            panic!("not a list of faults");
        };
        let fields: Vec<&str> = faults.iter().map(|f| f.field.as_str()).collect();
        assert_eq!(fields, ["demand[0].due", "demand[1].id", "demand[1].due"]);
    }

    #[test]
    fn too_many_lines_are_one_fault() {
        let (lines, _) = week();
        let many = vec![lines[0].clone(); 10_000];
        let refusal = check_lines(&many, Range::ALWAYS, None).unwrap_err();
        assert_eq!(
            refusal.to_string(),
            "demand: 10000 lines found; at most 2000 are allowed at once"
        );
    }
}
