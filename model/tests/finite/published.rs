//! The printed correlations, with any float at all.

use model::published::{
    air_properties, bubble_column, carroll, cold_air, convection, g704, if97, ionisation, jaehne,
    kell, saturated_steam, span_wagner, standard_atmosphere, sucrose, viscosity, water_enthalpy,
    weiss,
};
use proptest::prelude::{any, prop_oneof, proptest};

use crate::check;

/// A correlation of one variable.
type OfOne = fn(f64) -> Result<f64, model::OutOfRange>;

fn anything() -> impl proptest::strategy::Strategy<Value = f64> {
    prop_oneof![any::<f64>(), -100.0..1000.0_f64, 0.0..30.0_f64]
}

proptest! {
    #[test]
    fn of_one_number(x in anything()) {
        let functions: [(&str, OfOne); 27] = [
            ("bubbles", bubble_column::oxygen_transfer),
            ("nitrogen", cold_air::nitrogen),
            ("argon", cold_air::argon),
            ("oxygen", cold_air::oxygen),
            ("carbonic acid", ionisation::carbonic_acid),
            ("ions of water", ionisation::water),
            ("if97 slope", if97::saturation_slope),
            ("steam", saturated_steam::density),
            ("co2 slope", span_wagner::vapour_pressure_slope),
            ("co2 liquid", span_wagner::liquid_density),
            ("co2 vapour", span_wagner::vapour_density),
            ("carroll", carroll::solubility),
            ("if97 p", if97::saturation_pressure),
            ("if97 t", if97::saturation_temperature),
            ("jaehne", jaehne::diffusivity),
            ("kell", kell::density),
            ("span_wagner", span_wagner::vapour_pressure),
            ("atmosphere", standard_atmosphere::pressure),
            ("sucrose density", sucrose::density),
            ("sucrose molarity", sucrose::molarity),
            ("sucrose factor", sucrose::co2_factor),
            ("viscosity", viscosity::water),
            ("liquid", water_enthalpy::liquid),
            ("heat capacity", water_enthalpy::heat_capacity),
            ("ice", water_enthalpy::ice),
            ("weiss solubility", weiss::solubility),
            ("weiss virial", weiss::virial),
        ];
        for (name, function) in functions {
            check(name, function(x).map_err(Into::into));
        }
        check("air", air_properties::air(x).map_err(Into::into));
        for solute in [
            g704::Solute::Nitrogen,
            g704::Solute::Oxygen,
            g704::Solute::Argon,
            g704::Solute::CarbonDioxide,
        ] {
            check("henry", g704::henry_constant(solute, x).map_err(Into::into));
        }
    }

    #[test]
    fn of_several_numbers(a in anything(), b in anything(), c in anything(), d in anything()) {
        check("fugacity", weiss::fugacity_coefficient(a, b).map_err(Into::into));
        check("poynting", weiss::poynting(a, b).map_err(Into::into));
        check("free", convection::free_vertical(a, b, c).map_err(Into::into));
        check("forced", convection::forced_cylinder(a, b, c, d).map_err(Into::into));
    }
}
