//! Purging, gas, limits and serving.

use model::dispensing::{self, Drink, Line};
use model::gas_budget::{self, Cylinder, GassedKeg};
use model::headspace::{self, Fill, Mixing, Purging};
use model::limits::{self, SealedKeg, VesselMaterial};
use model::serving::{self, Glass, OnTap, PourLosses};
use model::{
    AbsolutePressure, AirContent, Area, Carbonation, Conductance, Factor, Fraction, GaugePressure,
    Length, Lift, Mass, Roughness, SugarContent, Temperature, TimeSpan, Volume, WaterFlow,
};
use proptest::prelude::{any, proptest};

use crate::{anywhere, check, finite};

proptest! {
    #[test]
    fn headspaces(
        brim in anywhere!(Volume),
        liquid in anywhere!(Volume),
        air in anywhere!(AirContent),
        temperature in anywhere!(Temperature),
        atmosphere in anywhere!(AbsolutePressure),
        gauge in anywhere!(GaugePressure),
        held in anywhere!(GaugePressure),
        count in any::<u32>(),
        share in anywhere!(Fraction),
    ) {
        let fill = Fill { brim, liquid, air, temperature, atmosphere };
        for mixing in [Mixing::Prompt, Mixing::Reequilibrated] {
            for count in [count % 8, count] {
                let purging = Purging { gauge, count, mixing };
                check("one", purging.left_by_one(atmosphere));
                check("as done", purging.as_done(share, atmosphere));
                check("air", headspace::air_pressure(&fill, &purging));
                check("loss", headspace::loss(&fill, &purging, held));
            }
            check("needed", headspace::purges_needed(&fill, gauge, mixing, held, share));
        }
    }

    #[test]
    fn lines(
        bore in anywhere!(Length),
        length in anywhere!(Length),
        lift in anywhere!(Lift),
        roughness in anywhere!(Roughness),
        fittings in anywhere!(Factor),
        temperature in anywhere!(Temperature),
        sugar in anywhere!(SugarContent),
        flow in anywhere!(WaterFlow),
        pressure in anywhere!(GaugePressure),
    ) {
        let line = Line { bore, length, lift, roughness, fittings };
        let drink = Drink { temperature, sugar };
        check("used", line.used(&drink, flow).map(|used| used.total()));
        check("needed", dispensing::needed(&line, &drink, flow));
        check("flow", dispensing::flow(&line, &drink, pressure));
        check("length", dispensing::balanced_length(&line, &drink, pressure, flow));
    }

    #[test]
    fn gas(
        brim in anywhere!(Volume),
        liquid in anywhere!(Volume),
        temperature in anywhere!(Temperature),
        warm in anywhere!(Temperature),
        held in anywhere!(GaugePressure),
        purge in anywhere!(GaugePressure),
        purges in any::<u32>(),
        sugar in anywhere!(SugarContent),
        atmosphere in anywhere!(AbsolutePressure),
    ) {
        let keg = GassedKeg { brim, liquid, temperature, held, purge, purges, sugar, atmosphere };
        let budget = gas_budget::keg(&keg);
        check("budget", budget);
        check("total", budget.and_then(|budget| budget.total()));
        check("filling", gas_budget::filling_with_gas(brim, held, temperature, atmosphere));
        let sealed = SealedKeg { brim, liquid, temperature, held, sugar, atmosphere };
        check("warm", limits::warm_pressure(&sealed, warm));
        check("warm storage", limits::warm_storage(&sealed, warm, purge));
        finite("vessel", &limits::vessel(held, purge));
    }

    #[test]
    fn cylinders_and_rooms(
        tare in anywhere!(Mass),
        gross in anywhere!(Mass),
        each in anywhere!(Mass),
        conductance in anywhere!(Conductance),
        room in anywhere!(Temperature),
        coldest in anywhere!(Temperature),
        volume in anywhere!(Volume),
        sugar in anywhere!(SugarContent),
    ) {
        let cylinder = Cylinder { tare, gross };
        check("contents", cylinder.contents());
        check("kegs", cylinder.kegs(each));
        check("latent heat", gas_budget::latent_heat(coldest));
        check("draw-off", gas_budget::draw_off_limit(conductance, room, coldest));
        check("released", limits::released(each));
        check("room", limits::room_after_release(each, volume));
        check("freezing", limits::freezing_point(sugar));
        check("release", limits::release(each, volume));
        check("freezing", limits::freezing(room, sugar));
        check("freezes", limits::cold_enough_to_freeze(room, sugar));
        finite("glass", &limits::glass_filling(room, coldest));
        finite("pet", &limits::filling(VesselMaterial::Pet, room));
        finite("steel", &limits::filling(VesselMaterial::StainlessSteel, room));
    }

    #[test]
    fn at_the_bar(
        volume in anywhere!(Volume),
        each in anywhere!(Volume),
        line in anywhere!(Volume),
        foam in anywhere!(Fraction),
        drink in anywhere!(Temperature),
        other in anywhere!(Temperature),
        content in anywhere!(Carbonation),
        sugar in anywhere!(SugarContent),
        mass in anywhere!(Mass),
        surface in anywhere!(Area),
        held in anywhere!(GaugePressure),
        time in anywhere!(TimeSpan),
        atmosphere in anywhere!(AbsolutePressure),
    ) {
        let losses = PourLosses { foam, line, heel: line };
        check("yield", serving::poured_volume(volume, &losses));
        check("servings", serving::servings(volume, &losses, each));
        let glass = Glass { mass, temperature: other };
        check("glass", serving::poured(volume, drink, content, sugar, glass, atmosphere));
        check("ice", serving::over_ice(volume, drink, content, mass, other));
        let keg = OnTap { liquid: volume, surface, temperature: drink, held, sugar, atmosphere };
        check("equilibrium", keg.equilibrium());
        check("tap", serving::content_after(&keg, content, time));
    }
}
