//! Filled kegs cooling in a cold store: how long, and how many watts.

use model::cooling::{Container, State, Surroundings};
use model::{
    AbsolutePressure, Fraction, HeatFlow, Length, Load, Mass, Temperature, TimeSpan, Volume,
};

use super::{NoRecipe, SETTLED_WATTS, atmosphere, gassing_temperature};
use crate::scenario::{ColdStore, ContainerMaterial, KegType, Scenario};

/// Emissivity of clean stainless steel, rounded up (handbook range 0.1 to 0.3).
const STEEL_EMISSIVITY: f64 = 0.2;

/// How one keg cools in one store.
#[derive(Debug, Clone, PartialEq)]
pub struct CoolRecipe {
    /// Minutes from filling until it may be gassed.
    pub minutes: f64,
    /// Mean watts it gives to the store in each step after filling, until it counts as settled.
    pub watts: Vec<f64>,
}

impl CoolRecipe {
    /// How a keg filled at `from` cools; none if the store is not cold enough for it ever to be
    /// gassed.
    pub(crate) fn of(
        scenario: &Scenario,
        keg: &KegType,
        store: &ColdStore,
        from: Temperature,
    ) -> Result<Option<Self>, NoRecipe> {
        let wanted = gassing_temperature(scenario);
        if store.air_c >= wanted {
            return Ok(None);
        }
        let container = container(keg)?;
        let around = surroundings(store, atmosphere(scenario)?);
        let minutes = if from > wanted {
            model::cooling::time_to(&container, around, from, wanted)?.minutes()
        } else {
            0.0
        };
        let step = f64::from(scenario.horizon.grid_minutes.minutes());
        let watts = load_by_step(&container, around, from, step)?;
        Ok(Some(Self { minutes, watts }))
    }
}

/// Emissivity of plastics (handbook range 0.9 to 0.97).
const PLASTIC_EMISSIVITY: f64 = 0.9;

/// The physics' view of a keg that is filled: what is in it, its steel or plastic, its surface.
///
/// # Errors
/// [`NoRecipe`] if a size is outside what the physics is known for.
///
/// ```
/// let setup = scheduler::sample::fixed().setup;
/// let keg = scheduler::recipe::container(&setup.keg_types[0])?;
/// assert!((keg.load.liquid.litres() - setup.keg_types[0].fill_l.litres()).abs() < 1e-9);
/// # Ok::<(), scheduler::recipe::NoRecipe>(())
/// ```
pub fn container(keg: &KegType) -> Result<Container, NoRecipe> {
    Ok(Container {
        load: Load {
            liquid: Volume::new(keg.fill_l.litres())?,
            steel: Mass::new(keg.empty_kg.kilograms())?,
        },
        diameter: Length::new(keg.diameter_m.metres())?,
        height: Length::new(keg.height_m.metres())?,
        emissivity: Fraction::new(match keg.material {
            ContainerMaterial::Steel => STEEL_EMISSIVITY,
            ContainerMaterial::Pet => PLASTIC_EMISSIVITY,
        })?,
    })
}

/// The physics' view of a store: its air, how fast that moves past the kegs, m/s, and its pressure.
///
/// ```
/// let setup = scheduler::sample::fixed().setup;
/// let sea_level = model::AbsolutePressure::STANDARD_ATMOSPHERE;
/// let around = scheduler::recipe::surroundings(&setup.cold_stores[0], sea_level);
/// assert_eq!(around.air, setup.cold_stores[0].air_c);
/// ```
#[must_use]
pub fn surroundings(store: &ColdStore, atmosphere: AbsolutePressure) -> Surroundings {
    Surroundings {
        air: store.air_c,
        speed: store.air_speed_m_per_s,
        atmosphere,
    }
}

/// Mean watts in each step until the keg counts as settled.
fn load_by_step(
    container: &Container,
    around: Surroundings,
    from: Temperature,
    step_minutes: f64,
) -> Result<Vec<f64>, NoRecipe> {
    if from <= around.air {
        return Ok(Vec::new());
    }
    let steps = (14.0 * 24.0 * 60.0 / step_minutes) as usize;
    let still = State {
        temperature: from,
        heat: HeatFlow::of(0.0),
    };
    let mut curve = vec![still; steps];
    let step = TimeSpan::from_minutes(step_minutes)?;
    model::cooling::curve(container, around, from, step, &mut curve)?;
    Ok(curve
        .iter()
        .map(|state| state.heat.watts())
        .take_while(|watts| *watts >= SETTLED_WATTS)
        .collect())
}
