//! What the last count put right, in the words of the site.

use chrono_tz::Tz;

use super::super::called::in_words;
use crate::domain::Refusal;
use crate::domain::setup::SetupDocument;
use crate::domain::stock::{Balance, corrections};
use crate::storage::{Connection, stock};
use crate::text::units::Units;
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
    units: Units,
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
            what: in_words(&setup.setup, &correction.what),
            expected: format!("{} {unit}", units.number(correction.expected)),
            counted: format!("{} {unit}", units.number(correction.counted)),
            difference: format!("{sign}{} {unit}", units.number(correction.difference.abs())),
        }
    };
    Ok(found.map(|list| list.into_iter().map(told).collect()))
}
