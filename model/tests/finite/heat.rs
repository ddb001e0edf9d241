//! Heating, ice and cooling.

use model::cooling::{self, Container, State, Store, Stored, Surroundings};
use model::heating::{self, Heater, OpenSurface};
use model::ice::{self, Mix};
use model::{
    AbsolutePressure, AirContent, AirSpeed, Area, Conductance, Fraction, IceFactor, Length, Load,
    Mass, Power, Temperature, TimeSpan, Volume, ice_bath, limits,
};
use proptest::prelude::{ProptestConfig, Strategy, proptest};

use crate::{anywhere, check, finite};

fn load() -> impl Strategy<Value = Load> {
    (anywhere!(Volume), anywhere!(Mass)).prop_map(|(liquid, steel)| Load { liquid, steel })
}

fn container() -> impl Strategy<Value = Container> {
    (
        load(),
        anywhere!(Length),
        anywhere!(Length),
        anywhere!(Fraction),
    )
        .prop_map(|(load, diameter, height, emissivity)| Container {
            load,
            diameter,
            height,
            emissivity,
        })
}

proptest! {
    #[test]
    fn pots(
        load in load(),
        power in anywhere!(Power),
        efficiency in anywhere!(Fraction),
        loss in anywhere!(Conductance),
        room in anywhere!(Temperature),
        area in anywhere!(Area),
        atmosphere in anywhere!(AbsolutePressure),
        from in anywhere!(Temperature),
        to in anywhere!(Temperature),
    ) {
        let heater = Heater { power, efficiency, loss, room };
        let surface = OpenSurface { area, room, humidity: efficiency, atmosphere };
        check("heat", load.heat_between(from, to));
        check("time", heating::time(&load, &heater, from, to));
        check("open time", heating::open_time(&load, &heater, &surface, from, to));
        check("steam", heating::steam(&surface, from));
    }

    #[test]
    fn ices(
        hot in anywhere!(Volume),
        from in anywhere!(Temperature),
        to in anywhere!(Temperature),
        ice_temperature in anywhere!(Temperature),
        kilograms in anywhere!(Mass),
        hot_air in anywhere!(AirContent),
        ice_air in anywhere!(AirContent),
        factor in anywhere!(IceFactor),
    ) {
        check("ratio", ice::needed_ratio(from, to, ice_temperature, factor));
        check("recipe", ice::recipe(hot, from, to, ice_temperature, factor));
        check("mixed", ice::mixed(&Mix {
            hot,
            temperature: from,
            air: hot_air,
            ice: kilograms,
            ice_temperature,
            ice_air,
        }));
    }

    #[test]
    fn baths(
        load in load(),
        from in anywhere!(Temperature),
        to in anywhere!(Temperature),
        bath in anywhere!(Temperature),
        conductance in anywhere!(Conductance),
        time in anywhere!(TimeSpan),
        factor in anywhere!(IceFactor),
    ) {
        check("time", ice_bath::time(&load, from, to, bath, conductance));
        check("after", ice_bath::after(&load, from, bath, conductance, time));
        check("ice", ice_bath::ice_used(&load, from, to, bath, factor));
    }

    #[test]
    fn cold_air(
        container in container(),
        air in anywhere!(Temperature),
        speed in anywhere!(AirSpeed),
        atmosphere in anywhere!(AbsolutePressure),
        from in anywhere!(Temperature),
        to in anywhere!(Temperature),
        time in anywhere!(TimeSpan),
    ) {
        let around = Surroundings { air, speed, atmosphere };
        finite("surface", &container.surface());
        check("conductance", cooling::conductance(&container, from, around));
        check("time", cooling::time_to(&container, around, from, to));
        check("after", cooling::after(&container, around, from, time));
        check("perishable", limits::perishable_cooling(&container, around));
        let mut states = [State::BLANK; 5];
        check("curve", cooling::curve(&container, around, from, time, &mut states));
        finite("states", &states);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))] // each runs for days of the store

    #[test]
    fn stores(
        container in container(),
        set_point in anywhere!(Temperature),
        power in anywhere!(Power),
        walls in anywhere!(Conductance),
        room in anywhere!(Temperature),
        speed in anywhere!(AirSpeed),
        atmosphere in anywhere!(AbsolutePressure),
        temperature in anywhere!(Temperature),
        hours in 0.0..48.0,
    ) {
        let store = Store { set_point, power, walls, room, speed, atmosphere };
        let mut contents = [Stored { container, temperature, count: 1 }; 3];
        check("air", cooling::air(&store, &contents));
        let time = TimeSpan::from_hours(hours).unwrap();
        check("run", cooling::run(&store, &mut contents, time));
        finite("contents", &contents);
    }
}
