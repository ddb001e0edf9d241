//! The inner functions, which a planner calls thousands of times, allocate nothing.
#![allow(clippy::unwrap_used, clippy::panic)] // tests may fail loudly

use allocation_counter::measure;
use model::cooling::{self, Container, State, Store, Stored, Surroundings};
use model::headspace::{self, Fill, Mixing, Purging};
use model::heating::{self, Heater, OpenSurface};
use model::kinetics::{self, SHAKEN, StillKeg};
use model::limits::{self, SealedKeg};
use model::{
    AbsolutePressure, AirContent, AirSpeed, Area, Carbonation, Conductance, Fraction,
    GaugePressure, IceFactor, Load, Mass, Power, SugarContent, Temperature, TimeSpan, Volume, air,
    carbonation, ice, ice_bath,
};

const SEA_LEVEL: AbsolutePressure = AbsolutePressure::STANDARD_ATMOSPHERE;
const KEG: Container = Container::STEEL_KEG_19_L;
const COLD: Temperature = Temperature::of(2.0);
const HOT: Temperature = Temperature::of(60.0);
const PLAIN: SugarContent = SugarContent::of(0.0);

/// Runs something that must work, and must not allocate.
fn check<T>(what: &str, run: impl FnOnce() -> Result<T, model::Error>) {
    let mut worked = false;
    let info = measure(|| worked = run().is_ok());
    assert!(worked, "{what} failed");
    assert_eq!(info.count_total, 0, "{what} allocates");
}

#[test]
fn an_allocation_would_be_counted() {
    let info = measure(|| drop(std::hint::black_box(vec![1.0_f64; 8])));
    assert_eq!(info.count_total, 1);
}

#[test]
fn carbonation_and_air() {
    let content = Carbonation::of(8.0);
    check("dissolved", || {
        carbonation::dissolved(
            COLD,
            AbsolutePressure::of(3.0),
            AbsolutePressure::of(0.1),
            PLAIN,
        )
    });
    check("pressure", || {
        carbonation::pressure_for(content, COLD, AbsolutePressure::VACUUM, PLAIN)
    });
    check("air", || air::saturated(HOT, SEA_LEVEL));
    check("removal", || {
        air::temperature_for_removal(Fraction::of(0.9), COLD, SEA_LEVEL)
    });
    let fill = Fill {
        brim: Volume::of(19.5),
        liquid: Volume::of(18.5),
        air: AirContent::of(4.75),
        temperature: COLD,
        atmosphere: SEA_LEVEL,
    };
    let held = GaugePressure::of(2.0);
    check("loss", || {
        headspace::loss(&fill, &Purging::prompt(3, held), held)
    });
    check("purges", || {
        headspace::purges_needed(&fill, held, Mixing::Prompt, held, Fraction::of(0.03))
    });
    let keg = SealedKeg {
        brim: fill.brim,
        liquid: fill.liquid,
        temperature: COLD,
        held,
        sugar: PLAIN,
        atmosphere: SEA_LEVEL,
    };
    check("warm", || {
        limits::warm_pressure(&keg, Temperature::of(30.0))
    });
    let full = Carbonation::of(9.1);
    check("still", || {
        StillKeg::steel_19_l(COLD).time(Carbonation::NONE, content, full)
    });
    check("shaken", || {
        kinetics::time(SHAKEN.low, Carbonation::NONE, content, full)
    });
}

#[test]
fn heat() {
    let around = Surroundings::still(Temperature::of(1.0));
    let mut states = [State::BLANK; 96];
    let half_hour = TimeSpan::of(1800.0);
    check("curve", || {
        cooling::curve(&KEG, around, HOT, half_hour, &mut states)
    });
    check("time", || {
        cooling::time_to(&KEG, around, HOT, Temperature::of(4.0))
    });
    check("after", || cooling::after(&KEG, around, HOT, half_hour));
    let store = Store {
        set_point: Temperature::of(1.0),
        power: Power::of(150.0),
        walls: Conductance::of(2.0),
        room: Temperature::of(22.0),
        speed: AirSpeed::of(0.5),
        atmosphere: SEA_LEVEL,
    };
    let mut kegs = [Stored {
        container: KEG,
        temperature: HOT,
        count: 1,
    }; 3];
    check("store", || cooling::run(&store, &mut kegs, half_hour));
    let pot = Load {
        liquid: Volume::of(30.0),
        steel: Mass::of(6.0),
    };
    let heater = Heater {
        power: Power::of(3500.0),
        efficiency: Fraction::of(0.85),
        loss: Conductance::of(3.0),
        room: Temperature::of(20.0),
    };
    let surface = OpenSurface {
        area: Area::of(0.1),
        room: Temperature::of(20.0),
        humidity: Fraction::of(0.5),
        atmosphere: SEA_LEVEL,
    };
    check("heating", || heating::time(&pot, &heater, COLD, HOT));
    check("open", || {
        heating::open_time(&pot, &heater, &surface, COLD, HOT)
    });
    check("ice", || {
        ice::needed_ratio(HOT, COLD, Temperature::of(-5.0), IceFactor::DRY)
    });
    check("bath", || {
        ice_bath::time(
            &pot,
            HOT,
            COLD,
            Temperature::FREEZING,
            Conductance::of(45.0),
        )
    });
}
