//! One more of something scarce: what it means in words, in the network, and in prices.

use super::{Limit, Scarce, SodaNetwork};
use crate::milp::{Formulation, Solved};
use crate::network::Series;
use crate::scenario::Scenario;

impl Scarce {
    /// The resource, in words.
    #[must_use]
    pub fn resource(self, scenario: &Scenario) -> String {
        let setup = &scenario.setup;
        match self {
            Self::Pot(p) => format!("pot {}", setup.pots[p].id),
            Self::Circuit(c) => format!("power of {}", setup.circuits[c].id),
            Self::Hands => "hands".to_owned(),
            Self::Ice => "ice".to_owned(),
            Self::Co2 => "CO2".to_owned(),
            Self::Material(m) => setup.materials[m].name.clone(),
            Self::Places(s) => format!("places in {}", setup.cold_stores[s].id),
            Self::Cooling(s) => format!("cooling power of {}", setup.cold_stores[s].id),
            Self::Connections(n) => format!("connections of {}", setup.gas_stations[n].id),
            Self::Kegs(k) => format!("kegs of type {}", setup.keg_types[k].id),
            Self::Washing => "washing stations".to_owned(),
        }
    }

    /// One more of it, in words.
    #[must_use]
    pub fn one_more(self, scenario: &Scenario) -> String {
        match self {
            Self::Circuit(c) => format!("{:.0} W more power", one_more_pot(scenario, c)),
            Self::Material(m) => {
                let material = &scenario.setup.materials[m];
                let (amount, unit) = (material.pack.units(), material.unit.symbol());
                format!("one more pack of {amount} {unit}")
            }
            Self::Pot(p) => format!("one more pot like {}", scenario.setup.pots[p].id),
            Self::Hands => "one more person on every shift".to_owned(),
            Self::Ice => "10 kg more ice at the start".to_owned(),
            Self::Co2 => "one more CO2 cylinder".to_owned(),
            Self::Places(_) => "two more places".to_owned(),
            Self::Cooling(_) => "100 W more cooling".to_owned(),
            Self::Connections(_) => "one more connection".to_owned(),
            Self::Kegs(_) => "four more clean kegs".to_owned(),
            Self::Washing => "one more washing station".to_owned(),
        }
    }

    /// How much one more of it raises its resource.
    fn amount(self, scenario: &Scenario) -> f64 {
        match self {
            Self::Hands => f64::from(scenario.horizon.grid_minutes.minutes()),
            Self::Ice => 10.0,
            Self::Co2 if scenario.setup.cylinders.is_some() => 1.0,
            Self::Co2 => scenario.setup.costs.co2_cylinder_kg.kilograms(),
            Self::Circuit(c) => one_more_pot(scenario, c),
            Self::Material(m) => scenario.setup.materials[m].pack.units(),
            Self::Places(_) => 2.0,
            Self::Cooling(_) => 100.0,
            Self::Kegs(_) => 4.0,
            Self::Pot(_) | Self::Connections(_) | Self::Washing => 1.0,
        }
    }
}

/// Power of the strongest pot on a circuit: with that much more, one more pot heats at once.
fn one_more_pot(scenario: &Scenario, circuit: usize) -> f64 {
    let id = &scenario.setup.circuits[circuit].id;
    let pots = scenario.setup.pots.iter();
    pots.filter(|pot| pot.circuit.as_ref() == Some(id))
        .map(|pot| pot.power_w.watts())
        .fold(0.0, f64::max)
}

impl SodaNetwork {
    /// Adds one more of something to the network.
    pub fn add_one(&mut self, scenario: &Scenario, limit: &Limit) {
        let amount = limit.scarce.amount(scenario);
        let points = self.net.points();
        let resource = self.net.resource_mut(limit.resource);
        if resource.carries {
            resource.initial += amount;
            let upper = (0..points).map(|t| resource.upper.at(t) + amount).collect();
            resource.upper = Series::ByPoint(upper);
        } else {
            let present: Vec<usize> = resource
                .supply
                .iter()
                .filter(|(_, capacity)| **capacity > 0.0)
                .map(|(t, _)| *t)
                .collect();
            for t in present {
                resource.supply(t, amount);
            }
        }
    }

    /// What the prices of a relaxation say one more of something is worth. A guess that tells
    /// where to look: prices hold only for small changes.
    #[must_use]
    pub fn guess(
        &self,
        scenario: &Scenario,
        form: &Formulation,
        relaxed: &Solved,
        limit: &Limit,
    ) -> f64 {
        let price = |row: usize| relaxed.row_prices.get(row).copied().unwrap_or(0.0);
        let levels = form.levels(limit.resource);
        let amount = limit.scarce.amount(scenario);
        if self.net.resource(limit.resource).carries {
            levels
                .first()
                .map_or(0.0, |level| price(level.row) * amount)
        } else {
            levels.iter().map(|level| price(level.row) * amount).sum()
        }
    }

    /// The limits whose prices promise most, best first.
    #[must_use]
    pub fn promising(
        &self,
        scenario: &Scenario,
        form: &Formulation,
        relaxed: &Solved,
        most: usize,
    ) -> Vec<Limit> {
        let mut ranked: Vec<(f64, &Limit)> = self
            .limits
            .iter()
            .map(|limit| (self.guess(scenario, form, relaxed, limit), limit))
            .filter(|(guess, _)| *guess > 1e-6)
            .collect();
        ranked.sort_by(|a, b| {
            b.0.total_cmp(&a.0)
                .then_with(|| a.1.scarce.cmp(&b.1.scarce))
        });
        ranked
            .into_iter()
            .take(most)
            .map(|(_, l)| l.clone())
            .collect()
    }
}
