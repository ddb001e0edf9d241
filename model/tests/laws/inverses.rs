//! There and back again.

use model::cooling::{self, Container, Surroundings};
use model::kinetics::{self, StillKeg};
use model::{
    AbsolutePressure, AirContent, Carbonation, ChlorineResidual, Fraction, GaugePressure,
    MassTransfer, SugarContent, Temperature, Volume, air, carbonation, dechlorination, ice_bath,
    water,
};
use proptest::prelude::{prop_assert, proptest};

use crate::in_range;

fn close(one: f64, other: f64, relative: f64) -> bool {
    (one - other).abs() <= relative * one.abs().max(other.abs()).max(1e-12)
}

proptest! {
    #[test]
    fn pressure_for_what_is_dissolved(
        at in in_range!(Temperature, -1.0..40.0),
        partial in 0.01..15.0,
        air in in_range!(AbsolutePressure, 0.0..2.0),
        sugar in in_range!(SugarContent),
    ) {
        let vapour = water::saturation_pressure(at).unwrap().bar();
        let total = AbsolutePressure::new(partial + air.bar() + vapour).unwrap();
        let content = carbonation::dissolved(at, total, air, sugar).unwrap();
        let back = carbonation::pressure_for(content, at, air, sugar).unwrap();
        prop_assert!(close(back.bar(), total.bar(), 1e-9), "{total} came back as {back}");
    }

    #[test]
    fn what_is_dissolved_at_the_pressure_for_it(
        at in in_range!(Temperature, -1.0..40.0),
        target in in_range!(Carbonation, 0.0..12.0),
        air in in_range!(AbsolutePressure, 0.0..2.0),
        sugar in in_range!(SugarContent),
    ) {
        let total = carbonation::pressure_for(target, at, air, sugar).unwrap();
        let back = carbonation::dissolved(at, total, air, sugar).unwrap();
        prop_assert!((back.grams_per_litre() - target.grams_per_litre()).abs() < 1e-9);
    }

    #[test]
    fn boiling_point_of_the_vapour_pressure(at in in_range!(Temperature, 0.1..150.0)) {
        let back = water::boiling_point(water::saturation_pressure(at).unwrap()).unwrap();
        prop_assert!((back - at).kelvins().abs() < 1e-6);
    }

    #[test]
    fn gauge_and_absolute(gauge in in_range!(GaugePressure, 0.0..97.0), atmosphere in in_range!(AbsolutePressure, 0.5..1.1)) {
        let back = gauge.absolute(atmosphere).unwrap().gauge(atmosphere).unwrap();
        prop_assert!((back.bar() - gauge.bar()).abs() < 1e-12);
    }

    #[test]
    fn customary_units(psi in 0.0..1000.0, fahrenheit in -70.0..300.0, gallons in 0.0..1000.0) {
        prop_assert!(close(GaugePressure::from_psi(psi).unwrap().psi(), psi, 1e-12));
        let back = Temperature::from_fahrenheit(fahrenheit).unwrap().fahrenheit();
        prop_assert!((back - fahrenheit).abs() < 1e-9);
        prop_assert!(close(Volume::from_us_gallons(gallons).unwrap().us_gallons(), gallons, 1e-12));
    }

    #[test]
    fn removal_at_the_temperature_for_it(
        from in in_range!(Temperature, 0.5..60.0),
        wanted in in_range!(Fraction, 0.05..0.99),
        atmosphere in in_range!(AbsolutePressure, 0.6..1.1),
    ) {
        let to = air::temperature_for_removal(wanted, from, atmosphere).unwrap();
        let removed = air::removed(from, to, atmosphere).unwrap();
        // Close to 0 °C oxygen and nitrogen are still falling; the removal is monotone.
        prop_assert!((removed.value() - wanted.value()).abs() < 1e-9, "{wanted} {removed}");
    }

    #[test]
    fn temperature_after_the_time_to_it(
        from in 10.0..100.0,
        air in -5.0..8.0,
        share in 0.02..0.98,
        speed in 0.0..5.0,
    ) {
        let around = Surroundings {
            air: Temperature::new(air).unwrap(),
            speed: model::AirSpeed::new(speed).unwrap(),
            atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
        };
        let start = Temperature::new(from).unwrap();
        let to = Temperature::new(f64::max(air + share * (from - air), -0.9)).unwrap();
        let keg = Container::STEEL_KEG_19_L;
        let time = cooling::time_to(&keg, around, start, to).unwrap();
        let state = cooling::after(&keg, around, start, time).unwrap();
        prop_assert!((state.temperature - to).kelvins().abs() < 0.002 * (from - air));
    }

    #[test]
    fn bath_after_the_time_to_it(from in 5.0..100.0, to in 0.5..4.9, ua in 1.0..500.0) {
        let keg = Container::STEEL_KEG_19_L.load;
        let ua = model::Conductance::new(ua).unwrap();
        let (start, end) = (Temperature::new(from).unwrap(), Temperature::new(to).unwrap());
        let bath = Temperature::FREEZING;
        let time = ice_bath::time(&keg, start, end, bath, ua).unwrap();
        let back = ice_bath::after(&keg, start, bath, ua, time).unwrap();
        prop_assert!((back - end).kelvins().abs() < 1e-3 * from);
    }

    #[test]
    fn content_after_the_time_to_it(
        kla in in_range!(MassTransfer, 1e-6..1e-1),
        full in 1.0..30.0,
        share in 0.01..0.99,
    ) {
        let full = Carbonation::new(full).unwrap();
        let target = Carbonation::new(share * full.grams_per_litre()).unwrap();
        let time = kinetics::time(kla, Carbonation::NONE, target, full).unwrap();
        let back = kinetics::after(kla, Carbonation::NONE, full, time).unwrap();
        prop_assert!((back.grams_per_litre() - target.grams_per_litre()).abs() < 1e-9);
        let keg = StillKeg::steel_19_l(Temperature::of(2.0));
        let time = keg.time(Carbonation::NONE, target, full).unwrap();
        let back = keg.after(Carbonation::NONE, full, time).unwrap();
        prop_assert!((back.grams_per_litre() - target.grams_per_litre()).abs() < 1e-9);
    }

    #[test]
    fn dose_covers_what_it_was_for(
        chlorine in in_range!(ChlorineResidual, 0.01..50.0),
        litres in 0.1..1000.0,
        overdose in in_range!(Fraction),
    ) {
        use dechlorination::Agent::AscorbicAcid;
        let volume = Volume::new(litres).unwrap();
        let dose = dechlorination::dose(AscorbicAcid, chlorine, volume, overdose).unwrap();
        let back = dechlorination::covers(AscorbicAcid, dose, volume, overdose).unwrap();
        prop_assert!(close(back.milligrams_per_litre(), chlorine.milligrams_per_litre(), 1e-9));
    }

    #[test]
    fn standing_water_reaches_a_content_in_the_time_to_it(start in 0.0..10.0, gain in 0.1..15.0, depth in 0.05..1.0) {
        let pot = air::Standing {
            temperature: Temperature::of(20.0),
            atmosphere: AbsolutePressure::of(1.15),
            depth: model::Length::new(depth).unwrap(),
            transfer: air::OPEN_AND_STILL,
        };
        let (start, limit) = (AirContent::new(start).unwrap(), AirContent::new(start + gain).unwrap());
        let time = air::time_to_reaerate(&pot, start, limit).unwrap();
        let back = air::reaerated(&pot, start, time).unwrap();
        prop_assert!((back.milligrams_per_litre() - limit.milligrams_per_litre()).abs() < 1e-9);
    }
}
