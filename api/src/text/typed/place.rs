//! Where: a town or a time zone, as it is typed.
//!
//! The only towns that are known are those that zones of the IANA database are named after.

use chrono_tz::{TZ_VARIANTS, Tz};

/// The time zone of a town, or by its own name, in any spelling of its case and blanks.
///
/// # Errors
/// What was found and what is allowed.
pub(crate) fn zone_of(text: &str) -> Result<Tz, String> {
    let told = plain(text);
    let whole = |zone: &&Tz| plain(zone.name()) == told;
    let town = |zone: &&Tz| {
        let name = zone.name();
        let town = name.rsplit_once('/').filter(|_| !name.starts_with("Etc"));
        town.is_some_and(|(_, town)| plain(town) == told)
    };
    let mut all = TZ_VARIANTS.iter();
    let found = all
        .clone()
        .find(whole)
        .or_else(|| all.find(town))
        .filter(|_| !told.is_empty());
    found.copied().ok_or_else(|| {
        format!(
            "{} found; a time zone such as Europe/Lisbon or a town that names one, such as Lisbon, \
             is allowed: the nearest large one keeps the same clock",
            text.trim()
        )
    })
}

fn plain(text: &str) -> String {
    text.trim().to_lowercase().replace(' ', "_")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_town_is_found_by_its_zone() {
        let zone = |text: &str| zone_of(text).map(|zone| zone.name());
        assert_eq!(zone("lisbon"), Ok("Europe/Lisbon"));
        assert_eq!(zone("Europe/Lisbon"), Ok("Europe/Lisbon"));
        assert_eq!(zone("New York"), Ok("America/New_York"));
        assert_eq!(zone("utc"), Ok("UTC"));
        assert!(zone("Little Snoring").unwrap_err().contains("nearest"));
        assert!(zone("").is_err());
    }
}
