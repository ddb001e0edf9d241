//! One more of something scarce: what it means in words, in the network, and in prices.

use std::ops::Range;

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
            Self::Hands | Self::HourOfHands => "hands".to_owned(),
            Self::Ice => "ice".to_owned(),
            Self::Co2 => "CO2".to_owned(),
            Self::Material(m) => setup.materials[m].name.clone(),
            Self::Places(s) => format!("places in {}", setup.cold_stores[s].id),
            Self::Cooling(s) => format!("cooling power of {}", setup.cold_stores[s].id),
            Self::Blanket(n) => format!(
                "connections for kegs that wait in {}",
                setup.cold_stores[n].id
            ),
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
            Self::HourOfHands => "one more person for this hour".to_owned(),
            Self::Ice => "10 kg more ice".to_owned(),
            Self::Co2 => "one more CO2 cylinder".to_owned(),
            Self::Places(_) => "two more places".to_owned(),
            Self::Cooling(_) => "100 W more cooling".to_owned(),
            Self::Connections(_) | Self::Blanket(_) => "one more connection".to_owned(),
            Self::Kegs(_) => "four more clean kegs".to_owned(),
            Self::Washing => "one more washing station".to_owned(),
        }
    }

    /// Whether it is gone once it was used; otherwise it is free again.
    #[must_use]
    pub fn is_used_up(self) -> bool {
        matches!(
            self,
            Self::Ice | Self::Co2 | Self::Material(_) | Self::Kegs(_)
        )
    }

    /// How much one more of it raises its resource.
    fn amount(self, scenario: &Scenario) -> f64 {
        match self {
            Self::Hands | Self::HourOfHands => f64::from(scenario.horizon.grid_minutes.minutes()),
            Self::Ice => 10.0,
            Self::Co2 if scenario.setup.cylinders.is_some() => 1.0,
            Self::Co2 => scenario.setup.costs.co2_cylinder_kg.kilograms(),
            Self::Circuit(c) => one_more_pot(scenario, c),
            Self::Material(m) => scenario.setup.materials[m].pack.units(),
            Self::Places(_) => 2.0,
            Self::Cooling(_) => 100.0,
            Self::Kegs(_) => 4.0,
            Self::Pot(_) | Self::Connections(_) | Self::Blanket(_) | Self::Washing => 1.0,
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

/// One more of something scarce.
#[derive(Debug, Clone, PartialEq)]
pub struct OneMore {
    /// What there is more of.
    pub limit: Limit,
    /// Where there is: what renews has more at each of these points, what is carried has it from the
    /// first of them on.
    pub within: Range<usize>,
}

impl SodaNetwork {
    /// Adds one more of something to the network.
    pub fn add_one(&mut self, scenario: &Scenario, more: &OneMore) {
        let amount = more.limit.scarce.amount(scenario);
        let points = self.net.points();
        let resource = self.net.resource_mut(more.limit.resource);
        if resource.carries {
            match more.within.start {
                0 => resource.initial += amount,
                t => resource.supply(t, amount),
            }
            // A bin that overflows holds no more for it.
            if !resource.spills {
                let upper = (0..points).map(|t| resource.upper.at(t) + amount).collect();
                resource.upper = Series::ByPoint(upper);
            }
        } else {
            let there = resource.supply.range(more.within.clone());
            let there: Vec<usize> = there.filter(|s| *s.1 > 0.0).map(|s| *s.0).collect();
            for t in there {
                resource.supply(t, amount);
            }
        }
    }

    /// What the prices of a relaxation say one more of something is worth, point by point: from
    /// which point, until which, and how much. A guess that tells where to look: prices hold only
    /// for small changes.
    #[must_use]
    pub fn prices(
        &self,
        scenario: &Scenario,
        form: &Formulation,
        relaxed: &Solved,
        limit: &Limit,
    ) -> Vec<(Range<usize>, f64)> {
        let amount = limit.scarce.amount(scenario);
        let price = |row: usize| relaxed.duals.get(row).copied().unwrap_or(0.0) * amount;
        let levels = form.levels(limit.resource);
        let carries = self.net.resource(limit.resource).carries;
        let after = |n: usize| levels.get(n + 1).filter(|_| carries);
        let told = levels.iter().enumerate().map(|(n, level)| {
            // What is carried is priced with all that follows.
            let later = after(n).map_or(0.0, |next| price(next.row));
            let until = after(n).map_or(level.point + 1, |next| next.point);
            (level.point..until, price(level.row) - later)
        });
        told.collect()
    }

    /// The limits whose prices promise most, best first.
    #[must_use]
    pub fn promising(
        &self,
        scenario: &Scenario,
        form: &Formulation,
        relaxed: &Solved,
    ) -> Vec<Limit> {
        let guess = |limit: &Limit| -> f64 {
            if let Some((_, price)) = self.best_point(form, relaxed, limit) {
                return price * limit.scarce.amount(scenario);
            }
            let prices = self.prices(scenario, form, relaxed, limit);
            prices.iter().map(|(_, price)| price).sum()
        };
        let mut ranked: Vec<(f64, &Limit)> = self
            .limits
            .iter()
            .map(|limit| (guess(limit), limit))
            .filter(|(guess, _)| *guess > 1e-6)
            .collect();
        ranked.sort_by(|a, b| {
            b.0.total_cmp(&a.0)
                .then_with(|| a.1.scarce.cmp(&b.1.scarce))
        });
        ranked.into_iter().map(|(_, l)| l.clone()).collect()
    }

    /// Where a unit of something that may overflow is worth most, and how much: just before it is
    /// used. None for what never overflows, of which a unit is worth most at the start.
    #[must_use]
    pub fn best_point(
        &self,
        form: &Formulation,
        relaxed: &Solved,
        limit: &Limit,
    ) -> Option<(usize, f64)> {
        if !self.net.resource(limit.resource).spills {
            return None;
        }
        let levels = form.levels(limit.resource).iter();
        let prices = levels.filter_map(|level| {
            let price = relaxed.duals.get(level.row)?;
            Some((level.point, *price))
        });
        // The last of those that are worth the same.
        prices.reduce(|best, next| match next.1 >= best.1 - 1e-9 {
            true => (next.0, next.1.max(best.1)),
            false => best,
        })
    }
}
