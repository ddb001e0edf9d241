//! Mass and energy are neither made nor lost.

use model::cooling::{self, Container, State, Store, Stored, Surroundings};
use model::headspace::{self, Fill, Purging};
use model::heating::{self, Heater, OpenSurface};
use model::ice::{self, Mix};
use model::limits::{self, SealedKeg};
use model::{
    AbsolutePressure, AirContent, AirSpeed, Area, Conductance, Fraction, GaugePressure, IceFactor,
    Load, Mass, Power, SugarContent, Temperature, TimeSpan, Volume, air, water,
};
use proptest::prelude::{prop_assert, proptest};

use crate::in_range;

const SEA_LEVEL: AbsolutePressure = AbsolutePressure::STANDARD_ATMOSPHERE;

proptest! {
    #[test]
    fn heat_of_a_curve_adds_up(
        from in in_range!(Temperature, 5.0..100.0),
        air in in_range!(Temperature, 0.0..4.0),
        minutes in 1.0..240.0,
    ) {
        let keg = Container::STEEL_KEG_19_L;
        let step = TimeSpan::from_minutes(minutes).unwrap();
        let mut states = [State::BLANK; 48];
        cooling::curve(&keg, Surroundings::still(air), from, step, &mut states).unwrap();
        let (first, last) = (states[0].temperature, states[47].temperature);
        let given: f64 = states[..47].iter().map(|s| s.heat.watts() * step.seconds()).sum();
        let lost = keg.load.heat_between(first, last).unwrap().joules();
        prop_assert!((given - lost).abs() <= 1e-9 * lost.max(1.0));
    }

    #[test]
    fn ice_and_hot_water_keep_their_heat_mass_and_air(
        hot in 0.1..100.0,
        from in in_range!(Temperature, 1.0..100.0),
        ice_kg in 0.0..50.0,
        ice_at in in_range!(Temperature, -40.0..0.0),
        hot_air in in_range!(AirContent, 0.0..40.0),
        ice_air in in_range!(AirContent, 0.0..40.0),
    ) {
        let mix = Mix {
            hot: Volume::new(hot).unwrap(),
            temperature: from,
            air: hot_air,
            ice: Mass::new(ice_kg).unwrap(),
            ice_temperature: ice_at,
            ice_air,
        };
        let mixed = ice::mixed(&mix).unwrap();
        let hot_kg = hot * 0.999_97;
        let (liquid, left) = (mixed.volume.litres() * 0.999_97, mixed.unmelted.kilograms());
        prop_assert!((liquid + left - hot_kg - ice_kg).abs() < 1e-9 * (hot_kg + ice_kg));
        let before = hot_kg * water::enthalpy(from).unwrap() + ice_kg * ice::enthalpy(ice_at).unwrap();
        let after = liquid * water::enthalpy(mixed.temperature).unwrap()
            + left * ice::enthalpy(Temperature::FREEZING).unwrap();
        // Ice so cold that it would freeze some of the water keeps the rest of its cold.
        let frozen_solid = left >= ice_kg * (1.0 - 1e-12);
        prop_assert!(frozen_solid || (before - after).abs() < 1e-9 * before.abs().max(1e6));
        let air_before = hot_kg * hot_air.milligrams_per_litre()
            + (ice_kg - left) * ice_air.milligrams_per_litre();
        let air_after = liquid * mixed.air.milligrams_per_litre();
        prop_assert!((air_before - air_after).abs() < 1e-9 * air_before.max(1.0));
    }

    #[test]
    fn a_recipe_makes_what_it_was_for(
        total in 1.0..100.0,
        from in in_range!(Temperature, 20.0..100.0),
        to in in_range!(Temperature, 0.5..19.0),
        ice_at in in_range!(Temperature, -40.0..0.0),
    ) {
        let recipe = ice::recipe(Volume::new(total).unwrap(), from, to, ice_at, IceFactor::DRY).unwrap();
        let none = AirContent::of(0.0);
        let mixed = ice::mixed(&Mix {
            hot: recipe.hot,
            temperature: from,
            air: none,
            ice: recipe.ice,
            ice_temperature: ice_at,
            ice_air: none,
        }).unwrap();
        prop_assert!((mixed.volume.litres() - total).abs() < 1e-9 * total);
        prop_assert!((mixed.temperature - to).kelvins().abs() < 1e-9);
    }

    #[test]
    fn air_in_a_keg_is_shared_not_lost(
        liquid in 0.0..19.5,
        tap in in_range!(Temperature, 0.0..30.0),
        keg in in_range!(Temperature, 0.0..30.0),
    ) {
        let fill = Fill {
            brim: Volume::of(19.5),
            liquid: Volume::new(liquid).unwrap(),
            air: air::saturated(tap, SEA_LEVEL).unwrap(),
            temperature: keg,
            atmosphere: SEA_LEVEL,
        };
        // Saturated at its own temperature, an unpurged keg stays at one atmosphere of air.
        let own = Fill { air: air::saturated(keg, SEA_LEVEL).unwrap(), ..fill };
        let dry = SEA_LEVEL.bar() - water::saturation_pressure(keg).unwrap().bar();
        let pressure = headspace::air_pressure(&own, &Purging::NONE).unwrap().bar();
        // Dry air is 99.964 % nitrogen, oxygen and argon.
        prop_assert!((pressure / (dry * 0.999_64) - 1.0).abs() < 1e-9);
        // Otherwise it ends between that of the headspace and that of the liquid.
        let mixed = headspace::air_pressure(&fill, &Purging::NONE).unwrap().bar();
        let full = Fill { brim: fill.liquid, ..fill };
        let alone = headspace::air_pressure(&full, &Purging::NONE).unwrap().bar();
        let (low, high) = if alone < pressure { (alone, pressure) } else { (pressure, alone) };
        prop_assert!(liquid <= 0.0 || (mixed >= low * (1.0 - 1e-3) && mixed <= high * (1.0 + 1e-3)));
    }

    #[test]
    fn a_sealed_keg_returns_to_its_pressure(gauge in 0.0..6.0, at in in_range!(Temperature, 0.0..39.0)) {
        let keg = SealedKeg {
            brim: Volume::of(19.5),
            liquid: Volume::of(18.5),
            temperature: at,
            held: GaugePressure::new(gauge).unwrap(),
            sugar: SugarContent::of(5.0),
            atmosphere: SEA_LEVEL,
        };
        // The headspace of a keg that was held also has vapour, so the same
        // pressure comes back at the same temperature.
        let same = limits::warm_pressure(&keg, at).unwrap();
        prop_assert!((same.bar() - gauge).abs() < 1e-9);
    }

    #[test]
    fn a_store_carries_away_what_its_kegs_give(
        power in 0.0..400.0,
        from in in_range!(Temperature, 5.0..80.0),
    ) {
        let store = Store {
            set_point: Temperature::of(2.0),
            power: Power::new(power).unwrap(),
            walls: Conductance::of(2.0),
            room: Temperature::of(22.0),
            speed: AirSpeed::of(0.0),
            atmosphere: SEA_LEVEL,
        };
        let stored = Stored { container: Container::STEEL_KEG_19_L, temperature: from, count: 1 };
        let air = cooling::air(&store, &[stored; 3]).unwrap();
        let excess = air.load.watts() - power;
        let allowed = 1e-6 * power.max(1.0);
        prop_assert!(excess <= allowed, "{excess} W too much");
        // Three at once are as warm as three side by side.
        let together = cooling::air(&store, &[Stored { count: 3, ..stored }]).unwrap();
        prop_assert!((together.load.watts() - air.load.watts()).abs() <= allowed);
        prop_assert!(!air.overloaded || excess >= -allowed, "{excess} W unused");
    }
}

#[test]
fn a_store_run_in_one_go_is_the_same_as_in_pieces() {
    let store = Store {
        set_point: Temperature::of(2.0),
        power: Power::of(150.0),
        walls: Conductance::of(2.0),
        room: Temperature::of(22.0),
        speed: AirSpeed::of(0.5),
        atmosphere: SEA_LEVEL,
    };
    let hot = Stored {
        container: Container::STEEL_KEG_19_L,
        temperature: Temperature::of(50.0),
        count: 1,
    };
    let (mut whole, mut pieces) = ([hot; 3], [hot; 3]);
    cooling::run(&store, &mut whole, TimeSpan::from_hours(24.0).unwrap()).unwrap();
    for _ in 0..24 * 60 {
        cooling::run(&store, &mut pieces, TimeSpan::from_minutes(1.0).unwrap()).unwrap();
    }
    let apart = (whole[0].temperature - pieces[0].temperature).kelvins();
    assert!(apart.abs() < 0.05, "{apart} K");
}

#[test]
fn with_power_to_spare_a_store_is_air_at_its_set_point() {
    let store = Store {
        set_point: Temperature::of(2.0),
        power: Power::of(5000.0),
        walls: Conductance::of(2.0),
        room: Temperature::of(22.0),
        speed: AirSpeed::of(0.0),
        atmosphere: SEA_LEVEL,
    };
    let hot = Stored {
        container: Container::STEEL_KEG_19_L,
        temperature: Temperature::of(50.0),
        count: 1,
    };
    let mut kegs = [hot; 2];
    let day = TimeSpan::from_hours(24.0).unwrap();
    cooling::run(&store, &mut kegs, day).unwrap();
    let around = Surroundings::still(store.set_point);
    let alone = cooling::after(&hot.container, around, hot.temperature, day).unwrap();
    let apart = (kegs[1].temperature - alone.temperature).kelvins();
    assert!(apart.abs() < 0.01, "{apart} K");
}

proptest! {
    #[test]
    fn an_open_pot_pays_for_its_steam(watts in 2500.0..8000.0, litres in 5.0..60.0, to in 50.0..90.0) {
        let load = Load { liquid: Volume::new(litres).unwrap(), steel: Mass::of(5.0) };
        let room = Temperature::of(20.0);
        let heater = Heater {
            power: Power::new(watts).unwrap(),
            efficiency: Fraction::ALL,
            loss: Conductance::of(4.0),
            room,
        };
        let surface = OpenSurface {
            area: Area::of(0.1),
            room,
            humidity: Fraction::of(0.5),
            atmosphere: SEA_LEVEL,
        };
        let at = |celsius: f64| Temperature::new(celsius).unwrap();
        let heated = heating::open_time(&load, &heater, &surface, at(15.0), at(to)).unwrap();
        // The same in small steps of temperature, with what `steam` says.
        let steps = 2000;
        let width = (to - 15.0) / f64::from(steps);
        let (mut seconds, mut kilograms) = (0.0, 0.0);
        for step in 0..steps {
            let low = 15.0 + width * f64::from(step);
            let middle = low + width / 2.0;
            let steam = heating::steam(&surface, at(middle)).unwrap();
            let net = watts - 4.0 * (middle - 20.0) - steam.heat.watts();
            let heat = load.heat_between(at(low), at(low + width)).unwrap().joules();
            seconds += heat / net;
            kilograms += heat / net * steam.water.kilograms_per_hour() / 3600.0;
        }
        prop_assert!((heated.time.seconds() / seconds - 1.0).abs() < 1e-5);
        // The steam sets in at a kink, which both sums meet in their own way.
        prop_assert!((heated.evaporated.kilograms() / kilograms - 1.0).abs() < 1e-3);
    }
}
