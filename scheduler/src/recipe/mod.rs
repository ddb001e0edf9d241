//! What the physics says about a scenario: durations, quantities and set points.
//!
//! A recipe turns a route, a keg in a store or a gassing point into minutes, kilograms, watts and
//! bar, for this site's elevation, tap water, ice and equipment. It knows nothing of schedules.

mod bench;
mod blanket;
mod boil;
mod cool;
mod course;
mod gas;
mod standing;
mod waiting;

pub use bench::{SetPoints, set_points};
pub(crate) use bench::{held_at, purges_at_gassing, served_at};
pub(crate) use blanket::{blanket_kg, blanket_minutes};
pub use boil::{BoilRecipe, FillWater};
pub use cool::{CoolRecipe, container, surroundings};
pub(crate) use gas::RATING_SHARE;
pub use gas::{GasRecipe, ServeRecipe};
pub use standing::StandingKegs;
pub use waiting::WaitedKeg;
pub(crate) use waiting::filled_air;

use model::{AbsolutePressure, AirContent, Temperature};

use crate::scenario::{KegType, Product, Scenario};

/// A keg that warms the air by less than this counts as settled; its load is not counted.
pub const SETTLED_WATTS: f64 = 1.0;

/// Why a recipe cannot be worked out; the text says what was found and what is allowed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{0}")]
pub struct NoRecipe(pub String);

impl From<model::Error> for NoRecipe {
    fn from(error: model::Error) -> Self {
        Self(error.to_string())
    }
}

impl From<model::OutOfRange> for NoRecipe {
    fn from(error: model::OutOfRange) -> Self {
        Self(error.to_string())
    }
}

/// All recipes of a scenario, by the positions of its lists.
#[derive(Debug, Clone, PartialEq)]
pub struct Recipes {
    /// What comes out of each route, whatever the pot.
    pub water: Vec<FillWater>,
    /// How each route runs in each of its pots: `(route, pot)` and the recipe.
    pub boils: Vec<BoilRecipe>,
    /// How a keg cools: `[keg type][store][route]`; none where it never gets cold enough or may
    /// not be filled that way.
    pub cools: Vec<Vec<Vec<Option<CoolRecipe>>>>,
    /// How the kegs that stand filled at the start cool, by store.
    pub standing: Vec<StandingKegs>,
    /// The most air in any route's water when it is in a keg.
    pub most_air: AirContent,
    /// Ways of gassing: every station, product, keg type, store and length of time that works.
    pub gassings: Vec<GasRecipe>,
    /// How a keg of each product and keg type is served from each store.
    pub serving: Vec<ServeRecipe>,
}

impl Recipes {
    /// Works out all recipes of a scenario.
    ///
    /// # Errors
    /// [`NoRecipe`] if a value is outside what the physics is known for.
    pub fn of(scenario: &Scenario) -> Result<Self, NoRecipe> {
        let setup = &scenario.setup;
        let water = setup
            .routes
            .iter()
            .map(|route| FillWater::of(scenario, route))
            .collect::<Result<Vec<_>, _>>()?;
        let mut boils = Vec::new();
        for (r, route) in setup.routes.iter().enumerate() {
            for (p, pot) in setup.pots.iter().enumerate() {
                if route.pots.contains(&pot.id) {
                    boils.push(BoilRecipe::of(scenario, r, p, &water[r])?);
                }
            }
        }
        let mut cools = Vec::new();
        for keg in &setup.keg_types {
            let mut stores = Vec::new();
            for store in &setup.cold_stores {
                let mut routes = Vec::new();
                for (route, water) in setup.routes.iter().zip(&water) {
                    let reached = route.stores.contains(&store.id);
                    let accepted = water.at <= keg.hottest_fill_c;
                    routes.push(if reached && accepted {
                        CoolRecipe::of(scenario, keg, store, water.at)?
                    } else {
                        None
                    });
                }
                stores.push(routes);
            }
            cools.push(stores);
        }
        let most_air = most_air(scenario, &water, &boils)?;
        let (gassings, serving) = gas::all(scenario, most_air)?;
        let stores = setup.cold_stores.iter();
        let standing = stores
            .map(|store| StandingKegs::of(scenario, store))
            .collect::<Result<Vec<_>, _>>()?;
        Ok(Self {
            water,
            boils,
            cools,
            standing,
            most_air,
            gassings,
            serving,
        })
    }
}

/// The most air in any route's water when it is in a keg.
fn most_air(
    scenario: &Scenario,
    water: &[FillWater],
    boils: &[BoilRecipe],
) -> Result<AirContent, NoRecipe> {
    let routes = water.iter().map(|water| (water.at, water.air));
    let boils = boils
        .iter()
        .map(|boil| (water[boil.route].at, boil.most_air));
    let mut most = AirContent::of(0.0);
    for (at, air) in routes.chain(boils) {
        let air = filled_air(scenario, at, air)?;
        most = if air > most { air } else { most };
    }
    Ok(most)
}

impl Recipes {
    /// CO2 that pushes one keg of a product from a store out, in kilograms; zero where the product
    /// does not go into it.
    #[must_use]
    pub fn push_kg(&self, product: usize, keg: usize, store: usize) -> f64 {
        let served = self.served(product, keg, store);
        served.and_then(|served| served.push_kg).unwrap_or(0.0)
    }

    /// Gauge pressure that keeps a keg of a product from a store as it is on tap, in bar; zero
    /// where the product does not go into it.
    #[must_use]
    pub fn serve_bar(&self, product: usize, keg: usize, store: usize) -> f64 {
        self.served(product, keg, store)
            .map_or(0.0, |served| served.serve.bar())
    }

    /// Kegs that stand filled at the start, by their position in the stock: the step at which their
    /// store's air is right again, and how warm they are then.
    #[must_use]
    pub fn standing_at(&self, filled: usize) -> Option<(usize, Temperature)> {
        self.standing.iter().find_map(|store| {
            let group = store.groups.iter().position(|(n, _)| *n == filled)?;
            Some((store.warm_steps, *store.temperatures.get(group)?))
        })
    }

    /// Whether a keg of a product from a store takes the pressure it is served at.
    pub(crate) fn may_be_served(&self, product: usize, keg: usize, store: usize) -> bool {
        let served = self.served(product, keg, store);
        served.is_some_and(|served| served.takes_it)
    }

    /// Minutes from the start until kegs that stand filled then may be gassed, by their position
    /// in the stock; none where they never get cold enough.
    #[must_use]
    pub fn cold_after(&self, filled: usize) -> Option<f64> {
        let groups = self.standing.iter().flat_map(|store| &store.groups);
        let mut of_it = groups.filter(|(n, _)| *n == filled);
        of_it.find_map(|(_, cooling)| Some(cooling.as_ref()?.minutes))
    }

    /// How a keg of a product from a store is served.
    fn served(&self, product: usize, keg: usize, store: usize) -> Option<&ServeRecipe> {
        let mut serving = self.serving.iter();
        serving.find(|s| (s.product, s.keg, s.store) == (product, keg, store))
    }
}

/// Pressure of the site's air.
pub(crate) fn atmosphere(scenario: &Scenario) -> Result<AbsolutePressure, NoRecipe> {
    Ok(model::atmosphere::pressure_at(scenario.site.elevation_m)?)
}

/// Whether a product may be put into a keg type.
#[must_use]
pub fn goes_into(product: &Product, keg: &KegType) -> bool {
    product.keg_types.is_empty() || product.keg_types.contains(&keg.id)
}

/// The warmest water that may be gassed.
pub(crate) fn gassing_temperature(scenario: &Scenario) -> Temperature {
    scenario.policy.gas_at_c
}
