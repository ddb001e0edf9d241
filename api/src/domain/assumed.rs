//! What a draft assumed of a site and nobody has changed since.

use scheduler::draft::{Assumption, Draft};
use scheduler::scenario::Site;
use serde_json::json;

use super::Refusal;
use super::setup::SetupDocument;

/// What of a draft is kept with its site: the facts of the place and its setup. What is wanted and
/// what is there change every day, and are counted and put in anew.
pub(crate) fn kept(draft: &Draft) -> Vec<Assumption> {
    let lasting = |one: &&Assumption| {
        let starts = ["site.", "setup.", "policy."];
        starts.iter().any(|start| one.field.starts_with(start))
    };
    draft.assumed.iter().filter(lasting).cloned().collect()
}

/// What still is as it was assumed.
pub(crate) fn standing(
    all: &[Assumption],
    site: &Site,
    document: &SetupDocument,
) -> Result<Vec<Assumption>, Refusal> {
    let mut whole = serde_json::to_value(document).map_err(Refusal::internal)?;
    whole["site"] = json!(site);
    let stands = |one: &&Assumption| one.stands_in(&whole);
    Ok(all.iter().filter(stands).cloned().collect())
}

/// What is assumed of the field at a JSON pointer, or of what it is a part of.
pub(crate) fn of<'a>(all: &'a [Assumption], pointer: &str) -> Option<&'a Assumption> {
    all.iter().find(|one| {
        let rest = pointer.strip_prefix(&one.pointer());
        rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
    })
}

/// What is said beside a field.
pub(crate) fn said(one: &Assumption) -> String {
    let range = one.range.as_ref();
    let range = range.map_or_else(String::new, |range| format!("; usually {range}"));
    format!("Assumed: {}{range} ({}).", one.why, one.source)
}

#[cfg(test)]
mod tests {
    use serde_json::Value;

    use super::*;

    fn efficiency(value: Value) -> Assumption {
        Assumption {
            field: "setup.pots[0].efficiency".to_owned(),
            value,
            range: Some("0.75 to 0.95".to_owned()),
            source: "common practice, no source".to_owned(),
            why: "an element in the water".to_owned(),
        }
    }

    #[test]
    fn what_somebody_changed_is_assumed_no_more() {
        let scenario = scheduler::sample::fixed();
        let mut document = SetupDocument {
            setup: scenario.setup,
            policy: scenario.policy,
        };
        let all = [efficiency(json!(0.85))];
        let stands = |document: &SetupDocument| standing(&all, &scenario.site, document).unwrap();
        assert_eq!(stands(&document), all);
        let better = serde_json::from_value(json!(0.9)).unwrap();
        document.setup.pots[0].efficiency = better;
        assert!(stands(&document).is_empty());
    }

    #[test]
    fn a_field_is_found_by_its_place() {
        let all = [efficiency(json!(0.85))];
        assert!(of(&all, "/setup/pots/0/efficiency").is_some());
        assert!(of(&all, "/setup/pots/0/efficiency_of_old").is_none());
        assert!(of(&all, "/setup/pots/1/efficiency").is_none());
        assert!(said(&all[0]).contains("usually 0.75 to 0.95"));
    }
}
