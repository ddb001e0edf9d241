//! Carbonation, air, chlorine and the speed of it all.

use model::dechlorination::{self, Agent, CarbonFilter, Chlorine};
use model::kinetics::{self, StillKeg, Supply};
use model::{
    AbsolutePressure, AirContent, Area, Carbonation, ChlorineResidual, Elevation, Fraction,
    GasFlow, Length, Mass, MassTransfer, SugarContent, SurfaceTransfer, Temperature, TimeSpan,
    Volume, WaterFlow, acidity, air, atmosphere, carbon_dioxide, carbonation, ice, limits, water,
};
use proptest::prelude::proptest;

use crate::{anywhere, check, finite};

proptest! {
    #[test]
    fn water_and_air(
        at in anywhere!(Temperature),
        other in anywhere!(Temperature),
        pressure in anywhere!(AbsolutePressure),
        z in anywhere!(Elevation),
        share in anywhere!(Fraction),
    ) {
        check("atmosphere", atmosphere::pressure_at(z));
        check("saturation", water::saturation_pressure(at));
        check("boiling", water::boiling_point(pressure));
        check("density", water::density(at));
        check("enthalpy", water::enthalpy(at));
        check("vaporisation", water::vaporisation_heat(at));
        check("steam density", water::steam_density(at));
        check("steam enthalpy", water::steam_enthalpy(at));
        check("ice", ice::enthalpy(at));
        check("gas density", carbon_dioxide::density(at, pressure));
        check("cylinder pressure", carbon_dioxide::vapour_pressure(at));
        check("air gases", air::saturated_gases(at, pressure));
        check("air", air::saturated(at, pressure));
        check("air left", air::after_heating(at, pressure));
        check("removed", air::removed(other, at, pressure));
        check("removal", air::temperature_for_removal(share, at, pressure));
    }

    #[test]
    fn carbonation_both_ways(
        at in anywhere!(Temperature),
        total in anywhere!(AbsolutePressure),
        air in anywhere!(AbsolutePressure),
        sugar in anywhere!(SugarContent),
        target in anywhere!(Carbonation),
    ) {
        check("dissolved", carbonation::dissolved(at, total, air, sugar));
        check("pressure", carbonation::pressure_for(target, at, air, sugar));
        check("ph", acidity::ph(target, at));
        check("soda on copper", limits::soda_on_copper(target, at));
    }

    #[test]
    fn standing_water(
        temperature in anywhere!(Temperature),
        atmosphere in anywhere!(AbsolutePressure),
        depth in anywhere!(Length),
        transfer in anywhere!(SurfaceTransfer),
        start in anywhere!(AirContent),
        limit in anywhere!(AirContent),
        time in anywhere!(TimeSpan),
    ) {
        let standing = air::Standing { temperature, atmosphere, depth, transfer };
        check("constant", standing.time_constant());
        check("reaerated", air::reaerated(&standing, start, time));
        check("time", air::time_to_reaerate(&standing, start, limit));
    }

    #[test]
    fn speed(
        liquid in anywhere!(Volume),
        surface in anywhere!(Area),
        temperature in anywhere!(Temperature),
        start in anywhere!(Carbonation),
        target in anywhere!(Carbonation),
        full in anywhere!(Carbonation),
        coefficient in anywhere!(MassTransfer),
        flow in anywhere!(GasFlow),
        pressure in anywhere!(AbsolutePressure),
        time in anywhere!(TimeSpan),
    ) {
        let keg = StillKeg { liquid, surface, temperature };
        check("still coefficient", keg.coefficient(full));
        check("still time", keg.time(start, target, full));
        check("still after", keg.after(start, full, time));
        check("stirred time", kinetics::time(coefficient, start, target, full));
        check("stirred after", kinetics::after(coefficient, start, full, time));
        check("sparged", kinetics::sparged(flow, surface, pressure, temperature));
        let supply = Supply { coefficient, flow, liquid };
        check("supply", kinetics::supply_time(&supply, start, target, full));
    }

    #[test]
    fn chlorine(
        free in anywhere!(ChlorineResidual),
        total in anywhere!(ChlorineResidual),
        volume in anywhere!(Volume),
        bed in anywhere!(Volume),
        dose in anywhere!(Mass),
        overdose in anywhere!(Fraction),
        flow in anywhere!(WaterFlow),
    ) {
        for agent in [Agent::SodiumAscorbate, Agent::AscorbicAcid] {
            finite("ratio", &agent.per_chlorine());
            check("dose", dechlorination::dose(agent, total, volume, overdose));
            check("covers", dechlorination::covers(agent, dose, volume, overdose));
        }
        if let Ok(chlorine) = Chlorine::new(free, total) {
            check("combined", chlorine.combined());
            check("kind", chlorine.is_chloraminated());
        }
        let filter = CarbonFilter { bed, rated_volume: volume, rated_chlorine: free };
        check("contact", filter.contact_time(flow));
        check("lasts", filter.lasts_for(total));
        check("used", filter.used_up(bed, total));
    }
}
