//! What the last count put right, in the words of the site.

use chrono_tz::Tz;

use crate::domain::Refusal;
use crate::domain::setup::SetupDocument;
use crate::domain::stock::{Balance, corrections};
use crate::storage::{Connection, stock};
use crate::text::figures::number;
use scheduler::scenario::SiteId;

/// One thing that was found to be different from the books.
pub(super) struct Corrected {
    pub(super) what: String,
    pub(super) expected: String,
    pub(super) counted: String,
    pub(super) difference: String,
}

/// What the count that the books start from put right; none where it was the first.
pub(super) fn corrected(
    conn: &mut Connection,
    site: &SiteId,
    setup: &SetupDocument,
    balance: &Balance,
    zone: Tz,
) -> Result<Option<Vec<Corrected>>, Refusal> {
    let Some(entry) = stock::find(conn, site, &balance.counted, zone)? else {
        return Ok(None);
    };
    let (count, before) = stock::count_at(conn, site, entry.seq, zone)?;
    let found = before.map(|books| corrections(&books.stock, &count.stock));
    let told = |correction: crate::domain::stock::Correction| {
        let unit = correction.unit;
        let sign = if correction.difference < 0.0 {
            "−"
        } else {
            "+"
        };
        Corrected {
            what: named(setup, &correction.what),
            expected: format!("{} {unit}", number(correction.expected)),
            counted: format!("{} {unit}", number(correction.counted)),
            difference: format!("{sign}{} {unit}", number(correction.difference.abs())),
        }
    };
    Ok(found.map(|list| list.into_iter().map(told).collect()))
}

/// `clean keg-19` in the words of the site: its ids are replaced by names.
fn named(setup: &SetupDocument, what: &str) -> String {
    let setup = &setup.setup;
    let name = |word: &str| {
        let kegs = setup.keg_types.iter().map(|k| (k.id.as_str(), &k.name));
        let products = setup.products.iter().map(|p| (p.id.as_str(), &p.name));
        let materials = setup.materials.iter().map(|m| (m.id.as_str(), &m.name));
        let mut all = kegs.chain(products).chain(materials);
        let found = all.find(|(id, _)| *id == word);
        match (found, word) {
            (Some((_, name)), _) => name.clone(),
            (None, "co2") => "CO2".to_owned(),
            (None, other) => other.to_owned(),
        }
    };
    let words: Vec<String> = what.split(' ').map(name).collect();
    words.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_are_told_by_their_names() {
        let scenario = scheduler::sample::fixed();
        let keg = scenario.setup.keg_types[0].clone();
        let product = scenario.setup.products[0].clone();
        let setup = SetupDocument {
            setup: scenario.setup,
            policy: scenario.policy,
        };
        let told = named(&setup, &format!("{} ready in {}", product.id, keg.id));
        assert_eq!(told, format!("{} ready in {}", product.name, keg.name));
        assert_eq!(named(&setup, "ice"), "ice");
    }
}
