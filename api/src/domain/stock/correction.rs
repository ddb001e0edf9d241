//! What a count put right: the books before it, and what was found.

use std::collections::BTreeMap;

use scheduler::scenario::Stock;
use serde::Serialize;
use utoipa::ToSchema;

/// One thing a count found to be different from the books.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct Correction {
    /// What it is about.
    #[schema(example = "ice")]
    pub(crate) what: String,
    /// What the books said just before, from the count before it and the movements since.
    #[schema(example = 62.5)]
    pub(crate) expected: f64,
    /// What was found.
    #[schema(example = 70.0)]
    pub(crate) counted: f64,
    /// What was found, less what was expected; below zero where something is missing.
    #[schema(example = 7.5)]
    pub(crate) difference: f64,
    /// The unit of these numbers.
    #[schema(example = "kg")]
    pub(crate) unit: &'static str,
}

/// What was found to be different.
pub(crate) fn corrections(expected: &Stock, counted: &Stock) -> Vec<Correction> {
    let (expected, counted) = (amounts(expected), amounts(counted));
    let mut names: Vec<_> = expected.keys().chain(counted.keys()).collect();
    names.sort();
    names.dedup();
    names
        .into_iter()
        .filter_map(|(what, unit)| {
            let of = |side: &Amounts| side.get(&(what.clone(), *unit)).copied().unwrap_or(0.0);
            let (expected, counted) = (of(&expected), of(&counted));
            let difference = counted - expected;
            (difference.abs() > 1e-9).then(|| Correction {
                what: what.clone(),
                expected,
                counted,
                difference,
                unit,
            })
        })
        .collect()
}

type Amounts = BTreeMap<(String, &'static str), f64>;

/// What is on hand, by name.
fn amounts(stock: &Stock) -> Amounts {
    let mut amounts = Amounts::new();
    let mut add = |what: String, unit, amount: f64| {
        *amounts.entry((what, unit)).or_insert(0.0) += amount;
    };
    add("ice".to_owned(), "kg", stock.ice_kg.kilograms());
    add("co2".to_owned(), "kg", stock.co2_kg.kilograms());
    for held in &stock.materials {
        add(held.material.to_string(), "units", held.amount.units());
    }
    for kegs in &stock.empty {
        add(
            format!("clean {}", kegs.keg_type),
            "kegs",
            kegs.clean.into(),
        );
        add(
            format!("dirty {}", kegs.keg_type),
            "kegs",
            kegs.dirty.into(),
        );
    }
    for kegs in &stock.filled {
        add(
            format!("filled {}", kegs.keg_type),
            "kegs",
            kegs.kegs.into(),
        );
    }
    for kegs in &stock.ready {
        let what = format!("{} ready in {}", kegs.product, kegs.keg_type);
        add(what, "kegs", kegs.kegs.into());
    }
    for keg in &stock.on_tap {
        let what = format!("{} on tap in {}", keg.product, keg.keg_type);
        add(what.clone(), "kegs", 1.0);
        add(what, "L", keg.litres.litres());
    }
    for kegs in &stock.under_way.at_bar {
        let what = format!("emptied {} at the bar", kegs.keg_type);
        add(what, "kegs", kegs.kegs.into());
    }
    amounts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_differs_is_listed() {
        let counted = scheduler::sample::fixed().stock;
        let mut books = counted.clone();
        assert!(corrections(&books, &counted).is_empty());
        books.empty[0].clean += 2;
        books.ready.pop();
        let found = corrections(&books, &counted);
        assert_eq!(found.len(), 2, "{found:?}");
        let clean = found.iter().find(|c| c.what.starts_with("clean ")).unwrap();
        assert!((clean.difference + 2.0).abs() < 1e-12);
        assert_eq!(clean.unit, "kegs");
        assert!(
            found
                .iter()
                .any(|c| c.what.contains(" ready in ") && c.difference > 0.0)
        );
    }
}
