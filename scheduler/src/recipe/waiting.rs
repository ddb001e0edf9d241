//! What a filled keg takes up while it waits to be gassed.
//!
//! Under air the water goes on towards saturation: an empty headspace is as good as an open one,
//! since a lid without pressure behind it does not seal. Under a blanket of CO2 it takes up no air
//! and some of the CO2 that it is to have.

use model::{
    AbsolutePressure, AirContent, Carbonation, Length, SugarContent, Temperature, TimeSpan,
};

use super::course::Course;
use super::{NoRecipe, atmosphere, container, surroundings};
use crate::scenario::{ColdStore, FilledKegs, KegType, Scenario};

/// Minutes that cold kegs in stock have waited before the plan starts, since nobody says: a day.
/// Kegs that are still too warm to be gassed were filled just then.
const STOOD_MINUTES: f64 = 1440.0;

/// Minutes for which a keg may wait that a way of gassing must still be right for: two days. Of
/// kegs that waited longer the freshest are taken for a way that is near its highest pressure.
const LONG_MINUTES: f64 = 2.0 * 1440.0;

/// A keg of water as it is while it waits, or when it is coupled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaitedKeg {
    /// How warm it is.
    pub temperature: Temperature,
    /// Air in its water.
    pub air: AirContent,
    /// CO2 in its water.
    pub co2: Carbonation,
}

/// Air in a keg's water once it is in the keg: more than in the pot where it falls.
pub(crate) fn filled_air(
    scenario: &Scenario,
    at: Temperature,
    air: AirContent,
) -> Result<AirContent, NoRecipe> {
    let Some(fall) = scenario.policy.fall_m else {
        return Ok(air);
    };
    let height = Length::new(fall.metres())?;
    Ok(model::air::after_fall(
        air,
        height,
        at,
        atmosphere(scenario)?,
    )?)
}

impl WaitedKeg {
    /// A keg that was just filled, with water of this temperature that holds this much air.
    ///
    /// See [`after`](Self::after) for an example.
    #[must_use]
    pub fn filled(temperature: Temperature, air: AirContent) -> Self {
        Self {
            temperature,
            air,
            co2: Carbonation::NONE,
        }
    }

    /// The same keg when it has stood in a store for some minutes.
    ///
    /// # Errors
    /// [`NoRecipe`] if a value is outside what the physics is known for.
    ///
    /// ```
    /// use model::{AirContent, Temperature};
    /// use scheduler::recipe::WaitedKeg;
    ///
    /// let scenario = scheduler::sample::fixed();
    /// let kind = (&scenario.setup.keg_types[0], &scenario.setup.cold_stores[0]);
    /// let filled = WaitedKeg::filled(Temperature::of(4.0), AirContent::of(7.0));
    /// let day = filled.after(&scenario, kind, 1440.0)?;
    /// // In a day under air it loses half of what boiling gained.
    /// assert!((17.0..23.0).contains(&day.air.milligrams_per_litre()));
    /// # Ok::<(), scheduler::recipe::NoRecipe>(())
    /// ```
    pub fn after(
        self,
        scenario: &Scenario,
        (keg, store): (&KegType, &ColdStore),
        minutes: f64,
    ) -> Result<Self, NoRecipe> {
        if minutes <= 0.0 {
            return Ok(self);
        }
        let mut then = self;
        let outside = atmosphere(scenario)?;
        let around = surroundings(store, outside);
        let course = Course::of(keg, around, self.temperature, minutes)?;
        match scenario.policy.blanket_bar {
            Some(bar) => {
                let total = bar.absolute(outside)?;
                let gas = (total, AbsolutePressure::VACUUM, SugarContent::of(0.0));
                then.co2 = course.content(self.co2, gas)?;
            }
            None => then.air = course.air(self.air, outside)?,
        }
        let time = TimeSpan::from_minutes(minutes)?;
        let state = model::cooling::after(&container(keg)?, around, self.temperature, time)?;
        then.temperature = state.temperature;
        Ok(then)
    }

    /// The same keg when it has waited long.
    pub(super) fn long_after(
        self,
        scenario: &Scenario,
        kind: (&KegType, &ColdStore),
    ) -> Result<Self, NoRecipe> {
        self.after(scenario, kind, LONG_MINUTES)
    }

    /// A keg that stands filled in stock, this warm, with water of the site; what is known of it
    /// counts, and for the rest what is usual.
    ///
    /// # Errors
    /// [`NoRecipe`] if a value is outside what the physics is known for.
    pub(crate) fn in_stock(
        scenario: &Scenario,
        (keg, store): (&KegType, &ColdStore),
        water: Self,
        known: Option<&FilledKegs>,
    ) -> Result<Self, NoRecipe> {
        let said = |keg: Self| Self {
            air: known.and_then(|k| k.air_mg_per_l).unwrap_or(keg.air),
            co2: known.and_then(|k| k.co2_g_per_l).unwrap_or(keg.co2),
            ..keg
        };
        if water.temperature > scenario.policy.gas_at_c {
            return Ok(said(water));
        }
        let stood = water.after(scenario, (keg, store), STOOD_MINUTES)?;
        Ok(said(Self {
            temperature: water.temperature,
            ..stood
        }))
    }
}
