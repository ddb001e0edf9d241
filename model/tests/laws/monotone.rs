//! More of this means more, or less, of that.

use model::cooling::{self, Container, Surroundings};
use model::headspace::{self, Fill, Mixing, Purging};
use model::kinetics::{self, StillKeg};
use model::{
    AbsolutePressure, AirContent, AirSpeed, Area, Carbonation, Elevation, GasFlow, GaugePressure,
    IceFactor, MassTransfer, SugarContent, Temperature, Volume, acidity, air, atmosphere,
    carbonation, gas_budget, ice, water,
};
use proptest::prelude::{Just, Strategy, prop_assert, proptest};

use crate::in_range;

/// Two different values in ascending order.
fn ordered(range: std::ops::Range<f64>) -> impl Strategy<Value = (f64, f64)> {
    let gap = (range.end - range.start) * 1e-6;
    (range.clone(), range)
        .prop_map(|(a, b)| if a < b { (a, b) } else { (b, a) })
        .prop_filter("too close", move |(a, b)| b - a > gap)
}

fn content(celsius: f64, total: f64, air: f64, brix: f64) -> Carbonation {
    carbonation::dissolved(
        Temperature::new(celsius).unwrap(),
        AbsolutePressure::new(total).unwrap(),
        AbsolutePressure::new(air).unwrap(),
        SugarContent::new(brix).unwrap(),
    )
    .unwrap()
}

proptest! {
    #[test]
    fn warmer_water_holds_less_gas((cold, warm) in ordered(-1.0..40.0), total in 1.2..20.0, brix in 0.0..20.0) {
        prop_assert!(content(warm, total, 0.0, brix) < content(cold, total, 0.0, brix));
    }

    #[test]
    fn more_pressure_holds_more_gas(at in -1.0..40.0, (low, high) in ordered(0.1..20.0)) {
        prop_assert!(content(at, high, 0.0, 0.0) > content(at, low, 0.0, 0.0));
    }

    #[test]
    fn more_air_leaves_less_gas(at in -1.0..40.0, total in 2.0..20.0, (little, much) in ordered(0.0..1.8)) {
        prop_assert!(content(at, total, much, 0.0) < content(at, total, little, 0.0));
    }

    #[test]
    fn more_sugar_leaves_less_gas(at in -1.0..40.0, total in 1.2..20.0, (little, much) in ordered(0.0..20.0)) {
        prop_assert!(content(at, total, 0.0, much) < content(at, total, 0.0, little));
    }

    #[test]
    fn higher_sites_have_less_air_and_boil_cooler((low, high) in ordered(-500.0..6000.0)) {
        let at = |z: f64| atmosphere::pressure_at(Elevation::new(z).unwrap()).unwrap();
        prop_assert!(at(high) < at(low));
        prop_assert!(water::boiling_point(at(high)).unwrap() < water::boiling_point(at(low)).unwrap());
    }

    #[test]
    fn vapour_pressure_rises_with_temperature((cold, warm) in ordered(-5.0..150.0)) {
        let at = |t: f64| water::saturation_pressure(Temperature::new(t).unwrap()).unwrap();
        prop_assert!(at(warm) > at(cold));
    }

    #[test]
    fn enthalpy_rises_with_temperature((cold, warm) in ordered(-5.0..110.0)) {
        let at = |t: f64| water::enthalpy(Temperature::new(t).unwrap()).unwrap();
        prop_assert!(at(warm) > at(cold));
    }

    #[test]
    fn water_below_the_boil_keeps_less_air_the_warmer((cold, warm) in ordered(0.0..99.9)) {
        let left = |t: f64| {
            let at = Temperature::new(t).unwrap();
            air::after_heating(at, AbsolutePressure::STANDARD_ATMOSPHERE).unwrap()
        };
        prop_assert!(left(warm) < left(cold));
    }

    #[test]
    fn hotter_water_needs_more_ice((cool, hot) in ordered(4.0..110.0), ice_c in -40.0..0.0) {
        let ratio = |from: f64| {
            let ice_temperature = Temperature::new(ice_c).unwrap();
            let from = Temperature::new(from).unwrap();
            ice::needed_ratio(from, Temperature::of(4.0), ice_temperature, IceFactor::DRY).unwrap()
        };
        prop_assert!(ratio(hot) > ratio(cool));
    }

    #[test]
    fn every_purge_helps(
        liquid in 1.0..19.4,
        air in in_range!(AirContent, 0.0..40.0),
        gauge in 0.2..5.0,
        count in 0_u32..20,
        mixing in proptest::prop_oneof![Just(Mixing::Prompt), Just(Mixing::Reequilibrated)],
    ) {
        let fill = Fill {
            brim: Volume::of(19.5),
            liquid: Volume::new(liquid).unwrap(),
            air,
            temperature: Temperature::of(2.0),
            atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
        };
        let gauge = GaugePressure::new(gauge).unwrap();
        let left = |count| {
            let purging = Purging { gauge, count, mixing };
            headspace::air_pressure(&fill, &purging).unwrap()
        };
        prop_assert!(left(count + 1) <= left(count));
    }

    #[test]
    fn more_dissolved_air_loses_more_gas(liquid in 1.0..19.4, (little, much) in ordered(0.0..60.0)) {
        let loss = |air: f64| {
            let fill = Fill {
                brim: Volume::of(19.5),
                liquid: Volume::new(liquid).unwrap(),
                air: AirContent::new(air).unwrap(),
                temperature: Temperature::of(2.0),
                atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
            };
            headspace::loss(&fill, &Purging::NONE, GaugePressure::of(4.0)).unwrap()
        };
        prop_assert!(loss(much) > loss(little));
    }

    #[test]
    fn warmer_kegs_and_calmer_air_take_longer(
        (cool, hot) in ordered(5.0..100.0),
        (calm, windy) in ordered(0.0..20.0),
        air in -10.0..3.0,
    ) {
        let time = |from: f64, speed: f64| {
            let around = Surroundings {
                air: Temperature::new(air).unwrap(),
                speed: AirSpeed::new(speed).unwrap(),
                atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
            };
            let from = Temperature::new(from).unwrap();
            cooling::time_to(&Container::STEEL_KEG_19_L, around, from, Temperature::of(4.0)).unwrap()
        };
        prop_assert!(time(hot, calm) > time(cool, calm));
        prop_assert!(time(hot, calm) > time(hot, windy));
    }

    #[test]
    fn thin_air_cools_more_slowly((high_up, low_down) in ordered(0.5..1.1), speed in 0.0..5.0, from in 10.0..95.0) {
        let time = |p: f64| {
            let around = Surroundings {
                speed: AirSpeed::new(speed).unwrap(),
                ..Surroundings::still(Temperature::of(1.0))
            };
            let around = around.at(AbsolutePressure::new(p).unwrap());
            let from = Temperature::new(from).unwrap();
            cooling::time_to(&Container::STEEL_KEG_19_L, around, from, Temperature::of(4.0)).unwrap()
        };
        prop_assert!(time(high_up) > time(low_down));
    }

    #[test]
    fn more_gas_stirs_more_and_pressure_less((little, much) in ordered(0.5..20.0), (low, high) in ordered(1.0..6.0)) {
        let transfer = |flow: f64, p: f64| {
            let flow = GasFlow::new(flow).unwrap();
            let pressure = AbsolutePressure::new(p).unwrap();
            kinetics::sparged(flow, Area::of(0.0363), pressure, Temperature::of(2.0)).unwrap()
        };
        prop_assert!(transfer(much, low) > transfer(little, low));
        prop_assert!(transfer(much, high) < transfer(much, low));
    }

    #[test]
    fn more_gas_is_more_sour(at in -1.0..40.0, (little, much) in ordered(0.0..80.0)) {
        let ph = |grams: f64| {
            let at = Temperature::new(at).unwrap();
            acidity::ph(Carbonation::new(grams).unwrap(), at).unwrap()
        };
        prop_assert!(ph(much) < ph(little));
    }

    #[test]
    fn warm_liquids_need_less_heat_to_boil_off((cold, warm) in ordered(-5.0..150.0), (cool, tepid) in ordered(-50.0..30.0)) {
        let water = |t: f64| water::vaporisation_heat(Temperature::new(t).unwrap()).unwrap();
        prop_assert!(water(warm) < water(cold));
        let gas = |t: f64| gas_budget::latent_heat(Temperature::new(t).unwrap()).unwrap();
        prop_assert!(gas(tepid) < gas(cool));
    }

    #[test]
    fn carbonating_further_takes_longer(
        (near, far) in ordered(0.1..0.99),
        full in in_range!(Carbonation, 1.0..30.0),
        kla in in_range!(MassTransfer, 1e-6..1e-1),
    ) {
        let target = |share: f64| Carbonation::new(share * full.grams_per_litre()).unwrap();
        let none = Carbonation::NONE;
        let stirred = |share| kinetics::time(kla, none, target(share), full).unwrap();
        prop_assert!(stirred(far) > stirred(near));
        let keg = StillKeg::steel_19_l(Temperature::of(2.0));
        let still = |share| keg.time(none, target(share), full).unwrap();
        prop_assert!(still(far) > still(near));
    }
}
