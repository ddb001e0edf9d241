//! Kegs that stand filled in a cold store when the plan starts, and air they are too much for.

use model::cooling::{self, Store, Stored};
use model::{Conductance, Power, Temperature, TimeSpan};

use super::cool::container;
use super::{CoolRecipe, NoRecipe, atmosphere};
use crate::scenario::{ColdStore, KegType, Scenario};

/// How the kegs that stand filled in a store at the start cool.
#[derive(Debug, Clone, PartialEq)]
pub struct StandingKegs {
    /// Steps in which they take all the store's cooling power and keep its air too warm.
    pub warm_steps: usize,
    /// Temperature of each group of kegs after those steps, in the order of the groups.
    pub temperatures: Vec<Temperature>,
    /// Each group of kegs, by its position in the stock, and how it cools: the minutes count from
    /// the start, the watts from the end of those steps. None where it never gets cold enough to
    /// be gassed.
    pub groups: Vec<(usize, Option<CoolRecipe>)>,
}

impl StandingKegs {
    /// Follows the kegs of `store` until its air is back at its temperature.
    pub(super) fn of(scenario: &Scenario, store: &ColdStore) -> Result<Self, NoRecipe> {
        let mut groups: Vec<(usize, &KegType)> = Vec::new();
        let mut contents = Vec::new();
        for (n, filled) in scenario.stock.filled.iter().enumerate() {
            let types = &scenario.setup.keg_types;
            let keg = types.iter().find(|k| k.id == filled.keg_type);
            let Some(keg) = keg.filter(|_| filled.store == store.id) else {
                continue;
            };
            groups.push((n, keg));
            contents.push(Stored {
                container: container(keg)?,
                temperature: filled.temperature_c,
                count: u32::from(filled.kegs),
            });
        }
        let warm_steps = catch_up(scenario, store, &mut contents)?;
        let step = f64::from(scenario.horizon.grid_minutes.minutes());
        let temperatures = contents.iter().map(|stored| stored.temperature).collect();
        let mut found = Vec::new();
        for ((n, keg), stored) in groups.into_iter().zip(contents) {
            let after = CoolRecipe::of(scenario, keg, store, stored.temperature)?;
            let after = after.map(|cooling| CoolRecipe {
                minutes: cooling.minutes + warm_steps as f64 * step,
                ..cooling
            });
            found.push((n, after));
        }
        Ok(Self {
            warm_steps,
            temperatures,
            groups: found,
        })
    }
}

/// Cools the contents of a store step by step until its air is at its temperature at the end of
/// one; how many steps that took.
fn catch_up(
    scenario: &Scenario,
    store: &ColdStore,
    contents: &mut [Stored],
) -> Result<usize, NoRecipe> {
    let cooled = Store {
        set_point: store.air_c,
        power: Power::new(store.cooling_w.watts())?,
        // What the walls let in is not part of the power left over for kegs.
        walls: Conductance::of(0.0),
        room: scenario.site.room_c,
        speed: store.air_speed_m_per_s,
        atmosphere: atmosphere(scenario)?,
    };
    let grid = scenario.horizon.grid_minutes.minutes();
    let step = TimeSpan::from_minutes(f64::from(grid))?;
    let most = usize::from(scenario.horizon.days) * 25 * 60 / usize::from(grid);
    let mut steps = 0;
    let mut warm = !contents.is_empty() && cooling::air(&cooled, contents)?.overloaded;
    while warm && steps < most {
        warm = cooling::run(&cooled, contents, step)?.overloaded;
        steps += 1;
    }
    Ok(steps)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::FilledKegs;
    use crate::scenario::quantities::CoolingPower;

    fn hot(kegs: u16) -> Scenario {
        let mut scenario = crate::sample::fixed();
        scenario.stock.filled = vec![FilledKegs {
            keg_type: scenario.setup.keg_types[0].id.clone(),
            store: scenario.setup.cold_stores[0].id.clone(),
            kegs,
            temperature_c: Temperature::of(80.0),
            air_mg_per_l: None,
            co2_g_per_l: None,
        }];
        scenario
    }

    /// While they are too much, kegs lose just the store's power: by hand, eight kegs of 18.5 L and
    /// 4.2 kg of steel hold 79.6 kJ/K each (physics reference, section 4), so at 700 W they lose
    /// 700 × 3600 / (8 × 79.6e3) = 3.96 K in an hour.
    #[test]
    fn too_many_hot_kegs_cool_at_the_stores_pace() {
        let mut scenario = hot(8);
        let store = scenario.setup.cold_stores[0].clone();
        let container = container(&scenario.setup.keg_types[0]).unwrap();
        let mut contents = vec![Stored {
            container,
            temperature: Temperature::of(80.0),
            count: 8,
        }];
        scenario.horizon.days = 1;
        let cooled = Store {
            set_point: store.air_c,
            power: Power::of(700.0),
            walls: Conductance::of(0.0),
            room: Temperature::of(23.0),
            speed: store.air_speed_m_per_s,
            atmosphere: atmosphere(&scenario).unwrap(),
        };
        let hour = TimeSpan::from_hours(1.0).unwrap();
        assert!(
            cooling::run(&cooled, &mut contents, hour)
                .unwrap()
                .overloaded
        );
        let lost = 80.0 - contents[0].temperature.celsius();
        assert!((lost - 3.96).abs() < 0.1, "{lost} K");
    }

    #[test]
    fn one_keg_cools_as_it_always_did_and_many_take_longer() {
        let minutes = |kegs: u16, watts: f64| {
            let mut scenario = hot(kegs);
            scenario.setup.cold_stores[0].cooling_w = CoolingPower::new(watts).unwrap();
            let store = &scenario.setup.cold_stores[0];
            let standing = StandingKegs::of(&scenario, store).unwrap();
            standing.groups[0].1.as_ref().map(|c| c.minutes)
        };
        let scenario = hot(1);
        let (keg, store) = (&scenario.setup.keg_types[0], &scenario.setup.cold_stores[0]);
        let alone = CoolRecipe::of(&scenario, keg, store, Temperature::of(80.0)).unwrap();
        assert_eq!(minutes(1, 700.0), alone.map(|c| c.minutes));
        assert!(minutes(8, 700.0) > minutes(1, 700.0));
        assert!(minutes(8, 400.0) > minutes(8, 700.0));
    }
}
