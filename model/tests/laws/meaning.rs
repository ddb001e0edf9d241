//! What a number means: the least that is enough, the part that limits.

use model::headspace::{self, Fill, Mixing, Purging};
use model::kinetics::{self, Supply};
use model::limits::{self, SealedKeg};
use model::serving::{self, OnTap};
use model::{
    AbsolutePressure, AirContent, Area, Carbonation, Fraction, GasFlow, GaugePressure, IceFactor,
    MassTransfer, SugarContent, Temperature, TimeSpan, Volume, carbon_dioxide, carbonation, ice,
    ice_bath, water,
};
use proptest::prelude::{Just, prop_assert, prop_assume, proptest};

use crate::in_range;

const SEA_LEVEL: AbsolutePressure = AbsolutePressure::STANDARD_ATMOSPHERE;

proptest! {
    #[test]
    fn purges_needed_are_enough_and_one_less_is_not(
        liquid in 10.0..19.4,
        air in in_range!(AirContent, 0.0..10.0),
        gauge in in_range!(GaugePressure, 0.3..4.0),
        allowed in in_range!(Fraction, 0.01..0.3),
        mixing in proptest::prop_oneof![Just(Mixing::Prompt), Just(Mixing::Reequilibrated)],
    ) {
        let fill = Fill {
            brim: Volume::of(19.5),
            liquid: Volume::new(liquid).unwrap(),
            air,
            temperature: Temperature::of(2.0),
            atmosphere: SEA_LEVEL,
        };
        let held = GaugePressure::of(2.0);
        let needed = headspace::purges_needed(&fill, gauge, mixing, held, allowed);
        prop_assume!(needed.is_ok());
        let needed = needed.unwrap();
        let lost = |count| headspace::loss(&fill, &Purging { gauge, count, mixing }, held).unwrap();
        prop_assert!(lost(needed) <= allowed);
        prop_assert!(needed == 0 || lost(needed - 1) > allowed);
    }

    #[test]
    fn an_ice_factor_multiplies_the_ice(factor in in_range!(IceFactor), from in in_range!(Temperature, 10.0..100.0)) {
        let (to, cold) = (Temperature::of(4.0), Temperature::of(-5.0));
        let ratio = |factor| ice::needed_ratio(from, to, cold, factor).unwrap();
        let keg = model::cooling::Container::STEEL_KEG_19_L.load;
        let used = |factor| ice_bath::ice_used(&keg, from, to, cold, factor).unwrap().kilograms();
        let times = factor.value();
        prop_assert!((ratio(factor) / ratio(IceFactor::DRY) - times).abs() < 1e-9);
        prop_assert!((used(factor) / used(IceFactor::DRY) - times).abs() < 1e-9);
    }

    #[test]
    fn a_limited_supply_is_the_slower_of_two_at_every_moment(
        kla in 1e-4..1e-2,
        flow in 0.2..20.0,
        share in 0.1..0.95,
    ) {
        let full = 9.1;
        let supply = Supply {
            coefficient: MassTransfer::new(kla).unwrap(),
            flow: GasFlow::new(flow).unwrap(),
            liquid: Volume::of(18.5),
        };
        let target = Carbonation::new(share * full).unwrap();
        let full_content = Carbonation::new(full).unwrap();
        let time = kinetics::supply_time(&supply, Carbonation::NONE, target, full_content).unwrap();
        // The same by small steps of the content.
        let gas = carbon_dioxide::density(Temperature::of(15.0), SEA_LEVEL).unwrap();
        let supplied = flow / 60.0 * gas / 18.5;
        let steps = 20_000;
        let each = share * full / f64::from(steps);
        let stepped: f64 = (0..steps)
            .map(|step| each / supplied.min(kla * (full - each * (f64::from(step) + 0.5))))
            .sum();
        prop_assert!((time.seconds() / stepped - 1.0).abs() < 1e-4, "{time} {stepped}");
    }

    #[test]
    fn a_sealed_keg_keeps_its_gas(
        gauge in 0.5..4.0,
        at in in_range!(Temperature, 0.0..10.0),
        warm in in_range!(Temperature, 15.0..35.0),
        liquid in 15.0..18.5,
    ) {
        let sugar = SugarContent::of(0.0);
        let keg = SealedKeg {
            brim: Volume::of(19.5),
            liquid: Volume::new(liquid).unwrap(),
            temperature: at,
            held: GaugePressure::new(gauge).unwrap(),
            sugar,
            atmosphere: SEA_LEVEL,
        };
        let reached = limits::warm_pressure(&keg, warm).unwrap();
        let grams = |temperature: Temperature, gauge: GaugePressure| {
            let total = gauge.absolute(SEA_LEVEL).unwrap();
            let swollen = liquid * water::density(at).unwrap() / water::density(temperature).unwrap();
            let content =
                carbonation::dissolved(temperature, total, AbsolutePressure::VACUUM, sugar).unwrap();
            let vapour = water::saturation_pressure(temperature).unwrap().bar();
            let gas = AbsolutePressure::new(total.bar() - vapour).unwrap();
            let density = carbon_dioxide::density(temperature, gas).unwrap();
            content.grams_per_litre() * swollen + density * (19.5 - swollen)
        };
        let (before, after) = (grams(at, keg.held), grams(warm, reached));
        prop_assert!((before - after).abs() < 1e-9 * before);
    }

    #[test]
    fn a_keg_on_tap_tends_to_its_equilibrium(gauge in 0.0..4.0, start in 0.0..20.0, days in 0.0..30.0) {
        let keg = OnTap {
            liquid: Volume::of(10.0),
            surface: Area::of(0.0363),
            temperature: Temperature::of(4.0),
            held: GaugePressure::new(gauge).unwrap(),
            sugar: SugarContent::of(0.0),
            atmosphere: SEA_LEVEL,
        };
        let equilibrium = keg.equilibrium().unwrap();
        let start = Carbonation::new(start).unwrap();
        let time = TimeSpan::from_hours(24.0 * days).unwrap();
        let after = serving::content_after(&keg, start, time).unwrap();
        let lowest = if start < equilibrium { start } else { equilibrium };
        prop_assert!(after <= equilibrium && after >= lowest);
    }
}
