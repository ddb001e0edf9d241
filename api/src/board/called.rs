//! What the service says by ids, in the words of a site.

use scheduler::scenario::Setup;

/// `clean keg-19` in the words of the site: its ids are replaced by names.
pub(super) fn in_words(setup: &Setup, what: &str) -> String {
    let name = |word: &str| {
        let kegs = setup.keg_types.iter().map(|k| (k.id.as_str(), &k.name));
        let products = setup.products.iter().map(|p| (p.id.as_str(), &p.name));
        let stores = setup.cold_stores.iter().map(|s| (s.id.as_str(), &s.name));
        let stations = setup.gas_stations.iter().map(|s| (s.id.as_str(), &s.name));
        let pots = setup.pots.iter().map(|p| (p.id.as_str(), &p.name));
        let materials = setup.materials.iter().map(|m| (m.id.as_str(), &m.name));
        let circuits = setup.circuits.iter().map(|c| (c.id.as_str(), &c.name));
        let things = stores.chain(stations).chain(pots).chain(circuits);
        let mut all = kegs.chain(products).chain(materials).chain(things);
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
        let setup = scenario.setup;
        let told = in_words(&setup, &format!("{} ready in {}", product.id, keg.id));
        assert_eq!(told, format!("{} ready in {}", product.name, keg.name));
        assert_eq!(in_words(&setup, "ice"), "ice");
    }
}
