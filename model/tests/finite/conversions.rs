//! Conversions and small helpers, with any float at all.

use model::calibration;
use model::headspace::Purging;
use model::kinetics::{SHAKEN, STILL_KEG_19_L, STONE, StillKeg};
use model::limits::LIMITS;
use model::published::air_properties;
use model::{
    AbsolutePressure, Carbonation, Elevation, Energy, Factor, Fraction, GaugePressure, Mass,
    MassFlow, Power, PressureDifference, Temperature, TemperatureDifference, TimeSpan, Volume,
    atmosphere,
};
use proptest::prelude::{any, prop_oneof, proptest};

use crate::{anywhere, check, finite};

fn anything() -> impl proptest::strategy::Strategy<Value = f64> {
    prop_oneof![any::<f64>(), -1e3..1e3_f64]
}

fn try_out<T: std::fmt::Debug>(what: &str, answer: Result<T, model::OutOfRange>) {
    check(what, answer.map_err(Into::into));
}

proptest! {
    #[test]
    fn from_what_people_use(x in anything()) {
        try_out("volumes", Carbonation::from_volumes(x));
        try_out("ideal volumes", Carbonation::from_ideal_volumes(x));
        try_out("kWh", Energy::from_kilowatt_hours(x));
        try_out("Btu/h", Power::from_btu_per_hour(x));
        try_out("feet", Elevation::from_feet(x));
        try_out("grams", Mass::from_grams(x));
        try_out("pounds", Mass::from_pounds(x));
        try_out("psi", GaugePressure::from_psi(x));
        try_out("inHg", AbsolutePressure::from_inches_of_mercury(x));
        try_out("kPa", AbsolutePressure::from_kilopascals(x));
        try_out("fahrenheit", Temperature::from_fahrenheit(x));
        try_out("minutes", TimeSpan::from_minutes(x));
        try_out("hours", TimeSpan::from_hours(x));
        try_out("g/day", MassFlow::from_grams_per_day(x));
        try_out("gallons", Volume::from_us_gallons(x));
        try_out("ounces", Volume::from_us_fluid_ounces(x));
    }

    #[test]
    fn to_what_people_use(
        soda in anywhere!(Carbonation),
        heat in anywhere!(Energy),
        mass in anywhere!(Mass),
        gauge in anywhere!(GaugePressure),
        absolute in anywhere!(AbsolutePressure),
        temperature in anywhere!(Temperature),
        time in anywhere!(TimeSpan),
        flow in anywhere!(MassFlow),
        volume in anywhere!(Volume),
        share in anywhere!(Fraction),
    ) {
        finite("soda", &[soda.volumes(), soda.ideal_volumes()]);
        finite("heat", &heat.kilowatt_hours());
        finite("mass", &[mass.grams(), mass.pounds()]);
        finite("pressure", &[gauge.psi(), absolute.kilopascals()]);
        finite("temperature", &[temperature.fahrenheit(), temperature.kelvin()]);
        finite("time", &[time.minutes(), time.hours()]);
        finite("flow", &flow.grams_per_day());
        finite("volume", &volume.us_gallons());
        finite("rest", &share.rest());
        finite("keg", &StillKeg::steel_19_l(temperature));
        finite("typical", &[SHAKEN, STILL_KEG_19_L, STONE].map(|range| range.typical()));
    }

    #[test]
    fn helpers(
        gauge in anywhere!(GaugePressure),
        absolute in anywhere!(AbsolutePressure),
        offset in anywhere!(PressureDifference),
        temperature in anywhere!(Temperature),
        shift in anywhere!(TemperatureDifference),
        z in anywhere!(Elevation),
        kelvin in 200.0..450.0_f64,
        factor in anywhere!(Factor),
        count in any::<u32>(),
        x in -1e300..1e300_f64,
    ) {
        try_out("corrected", gauge.corrected(offset));
        try_out("absolute", gauge.absolute(absolute));
        try_out("gauge", absolute.gauge(absolute));
        try_out("shifted", temperature.shifted(shift));
        check("weather", atmosphere::from_weather_report(absolute, z));
        finite("thin air", &air_properties::air(kelvin).unwrap().under(absolute.bar()));
        finite("judged", &LIMITS.map(|limit| limit.judge(x)));
        finite("purging", &Purging::reequilibrated(count, gauge));
        let pair = (GaugePressure::of(1.1), GaugePressure::of(1.0));
        let offset = calibration::gauge_offset(&[pair]).unwrap();
        check("used at", offset.used_at(factor.value()));
    }
}
