//! Sites: the facts of a place.

use scheduler::check::Fault;
use scheduler::sample;
use scheduler::scenario::Site;

use super::Refusal;

/// Checks the facts of a place that a type alone cannot hold.
///
/// The scheduler checks a scenario as a whole; a site is put into the demo scenario for that, and
/// only what is said about the site itself counts.
pub(crate) fn check(site: &Site) -> Result<(), Refusal> {
    let mut scenario = sample::fixed();
    scenario.site = site.clone();
    let Err(faults) = scenario.check() else {
        return Ok(());
    };
    let faults: Vec<Fault> = faults
        .0
        .into_iter()
        .filter_map(|fault| {
            let field = fault.field.strip_prefix("site.")?.to_owned();
            Some(Fault { field, ..fault })
        })
        .collect();
    if faults.is_empty() {
        Ok(())
    } else {
        Err(Refusal::Invalid(faults))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_site_needs_a_name_and_a_currency() {
        let mut site = sample::fixed().site;
        assert!(check(&site).is_ok());
        site.currency = "euro".to_owned();
        let refusal = check(&site).unwrap_err();
        assert!(refusal.to_string().starts_with("currency: "), "{refusal}");
    }
}
