//! Heating a pot: energy, time and steam.

use model::about::{HEATING, OPEN_POT, WATER_PROPERTIES};
use model::heating::{self, Heater, OpenSurface};
use model::inputs::{
    Barometer, BurnerPower, HeatingShare, LiquidTemperature, PotLoss, RoomTemperature, SteelMass,
    Surface, VesselVolume,
};
use model::limits::{HOT_FROM, HOT_WATER};
use model::{Elevation, Energy, Fraction, Load, Temperature, water};
use serde::Serialize;
use utoipa::ToSchema;

use super::calculation::{Calculate, Calculated, Card};
use super::inputs::inputs;
use super::minding;
use super::refused::Refused;
use super::values::{
    AbsolutePressureValue, AreaValue, ConductanceValue, ElevationValue, EnergyValue, MassFlowValue,
    MassValue, PowerValue, Shown, TemperatureValue, TimeValue, VolumeValue,
};

inputs! {
    /// A load and two temperatures.
    HeatInputs => HeatEcho {
        required {
            /// Water, in litres measured cold.
            liquid_l: VesselVolume => liquid: VolumeValue,
            /// Temperature before.
            from_c: LiquidTemperature => from: TemperatureValue,
            /// Temperature after.
            to_c: LiquidTemperature => to: TemperatureValue,
        }
        defaulted {
            /// Steel that holds it.
            steel_kg: SteelMass = 0.0 => steel: MassValue,
        }
    }
}

/// The heat that passes.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct HeatAnswer {
    /// Heat between the two temperatures, whichever is the warmer.
    heat: EnergyValue,
}

impl Calculate for HeatInputs {
    type Answer = HeatAnswer;

    const CARD: Card = Card {
        name: "heating/energy",
        title: "Heat between two temperatures",
        answers: "How much heat goes into water and its pot, or must be carried away again?",
        equations: &[WATER_PROPERTIES],
        blamed: &["from_c", "to_c"],
        example: r#"{"liquid_l": 30, "from_c": 15, "to_c": 95}"#,
    };

    fn calculate(&self) -> Result<Calculated<HeatAnswer>, Refused> {
        let load = Load {
            liquid: self.liquid_l.into(),
            steel: self.steel_kg().into(),
        };
        let (from, to): (Temperature, Temperature) = (self.from_c.into(), self.to_c.into());
        let heat = load.heat_between(from, to)?;
        let hottest = if from > to { from } else { to };
        Ok(Calculated::new(HeatAnswer {
            heat: Shown::of(heat),
        })
        .mind_if(hottest.celsius() >= HOT_FROM, HOT_WATER))
    }
}

inputs! {
    /// A covered pot on a heater.
    HeatingTimeInputs => HeatingTimeEcho {
        required {
            /// Water, in litres measured cold.
            liquid_l: VesselVolume => liquid: VolumeValue,
            /// Heat the heater takes in.
            power_w: BurnerPower => power: PowerValue,
            /// Share of it that reaches the pot.
            efficiency: HeatingShare => efficiency: Fraction,
            /// Temperature before.
            from_c: LiquidTemperature => from: TemperatureValue,
            /// Temperature wanted.
            to_c: LiquidTemperature => to: TemperatureValue,
        }
        defaulted {
            /// Steel of the pot.
            steel_kg: SteelMass = 0.0 => steel: MassValue,
            /// Heat the pot loses to the room per kelvin.
            loss_w_per_k: PotLoss = 0.0 => loss: ConductanceValue,
            /// Temperature of the room.
            room_c: RoomTemperature = 20.0 => room: TemperatureValue,
        }
    }
}

/// What heating takes.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct HeatingTimeAnswer {
    /// How long it takes; nothing where it is that warm already.
    time: TimeValue,
    /// Heat that goes into water and steel.
    heat: EnergyValue,
    /// Energy the heater takes in meanwhile.
    used: EnergyValue,
}

impl Calculate for HeatingTimeInputs {
    type Answer = HeatingTimeAnswer;

    const CARD: Card = Card {
        name: "heating/time",
        title: "Time to heat a covered pot",
        answers: "How long does this heater take? Without a lid it takes longer: see \
                  `heating/open-pot`.",
        equations: &[HEATING, WATER_PROPERTIES],
        blamed: &["power_w", "loss_w_per_k", "to_c"],
        example: r#"{"liquid_l": 30, "steel_kg": 6, "power_w": 3500, "efficiency": 0.85, "from_c": 15, "to_c": 95}"#,
    };

    fn calculate(&self) -> Result<Calculated<HeatingTimeAnswer>, Refused> {
        let load = Load {
            liquid: self.liquid_l.into(),
            steel: self.steel_kg().into(),
        };
        let heater = Heater {
            power: self.power_w.into(),
            efficiency: self.efficiency.into(),
            loss: self.loss_w_per_k().into(),
            room: self.room_c().into(),
        };
        let (from, to): (Temperature, Temperature) = (self.from_c.into(), self.to_c.into());
        let time = heating::time(&load, &heater, from, to)?;
        let heat = if to > from {
            load.heat_between(from, to)?
        } else {
            Energy::of(0.0)
        };
        let answer = HeatingTimeAnswer {
            time: Shown::of(time),
            heat: Shown::of(heat),
            used: Shown::of(heater.used_in(time)?),
        };
        Ok(Calculated::new(answer).mind_all(minding::hot(to)))
    }
}

inputs! {
    /// A pot without a lid on a heater.
    OpenPotInputs => OpenPotEcho at site {
        required {
            /// Water, in litres measured cold.
            liquid_l: VesselVolume => liquid: VolumeValue,
            /// Surface of the water.
            surface_m2: Surface => surface: AreaValue,
            /// Heat the heater takes in.
            power_w: BurnerPower => power: PowerValue,
            /// Share of it that reaches the pot.
            efficiency: HeatingShare => efficiency: Fraction,
            /// Temperature before.
            from_c: LiquidTemperature => from: TemperatureValue,
            /// Temperature wanted, below the boil.
            to_c: LiquidTemperature => to: TemperatureValue,
        }
        defaulted {
            /// Steel of the pot.
            steel_kg: SteelMass = 0.0 => steel: MassValue,
            /// Heat the walls of the pot lose to the room per kelvin.
            loss_w_per_k: PotLoss = 0.0 => loss: ConductanceValue,
            /// Temperature of the room.
            room_c: RoomTemperature = 20.0 => room: TemperatureValue,
            /// Relative humidity of the room.
            humidity: Fraction = 0.5 => humidity: Fraction,
        }
    }
}

/// What heating without a lid takes.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct OpenPotAnswer {
    /// How long it takes; nothing where it is that warm already.
    time: TimeValue,
    /// Water lost as steam on the way.
    evaporated: MassValue,
    /// Time the same pot takes with a lid.
    covered: TimeValue,
}

impl Calculate for OpenPotInputs {
    type Answer = OpenPotAnswer;

    const CARD: Card = Card {
        name: "heating/open-pot",
        title: "Time to heat an open pot",
        answers: "How long does this heater take without a lid, and how much water is lost as steam?",
        equations: &[OPEN_POT, HEATING],
        blamed: &["power_w", "surface_m2", "to_c"],
        example: r#"{"liquid_l": 30, "steel_kg": 6, "surface_m2": 0.1, "power_w": 3500, "efficiency": 0.85, "from_c": 15, "to_c": 90}"#,
    };

    fn calculate(&self) -> Result<Calculated<OpenPotAnswer>, Refused> {
        let load = Load {
            liquid: self.liquid_l.into(),
            steel: self.steel_kg().into(),
        };
        let heater = Heater {
            power: self.power_w.into(),
            efficiency: self.efficiency.into(),
            loss: self.loss_w_per_k().into(),
            room: self.room_c().into(),
        };
        let surface = OpenSurface {
            area: self.surface_m2.into(),
            room: self.room_c().into(),
            humidity: self.humidity(),
            atmosphere: self.atmosphere()?,
        };
        let (from, to): (Temperature, Temperature) = (self.from_c.into(), self.to_c.into());
        below_the_boil(to, &surface, "to_c")?;
        let heated = heating::open_time(&load, &heater, &surface, from, to)?;
        let answer = OpenPotAnswer {
            time: Shown::of(heated.time),
            evaporated: Shown::of(heated.evaporated),
            covered: Shown::of(heating::time(&load, &heater, from, to)?),
        };
        Ok(Calculated::new(answer).mind_all(minding::hot(to)))
    }
}

inputs! {
    /// A hot pot without a lid.
    SteamInputs => SteamEcho at site {
        required {
            /// Surface of the water.
            surface_m2: Surface => surface: AreaValue,
            /// Temperature of the water, below the boil.
            temperature_c: LiquidTemperature => temperature: TemperatureValue,
        }
        defaulted {
            /// Temperature of the room.
            room_c: RoomTemperature = 20.0 => room: TemperatureValue,
            /// Relative humidity of the room.
            humidity: Fraction = 0.5 => humidity: Fraction,
        }
    }
}

/// What leaves an open pot.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct SteamAnswer {
    /// Water that evaporates.
    water: MassFlowValue,
    /// Heat that goes with it and by convection.
    heat: PowerValue,
}

impl Calculate for SteamInputs {
    type Answer = SteamAnswer;

    const CARD: Card = Card {
        name: "heating/steam",
        title: "Steam from an open pot",
        answers: "How much water and heat leave an open pot that does not boil?",
        equations: &[OPEN_POT],
        blamed: &["temperature_c", "room_c"],
        example: r#"{"surface_m2": 0.1, "temperature_c": 90}"#,
    };

    fn calculate(&self) -> Result<Calculated<SteamAnswer>, Refused> {
        let surface = OpenSurface {
            area: self.surface_m2.into(),
            room: self.room_c().into(),
            humidity: self.humidity(),
            atmosphere: self.atmosphere()?,
        };
        let at = self.temperature_c.into();
        below_the_boil(at, &surface, "temperature_c")?;
        let steam = heating::steam(&surface, at)?;
        let answer = SteamAnswer {
            water: Shown::of(steam.water),
            heat: Shown::of(steam.heat),
        };
        Ok(Calculated::new(answer).mind_all(minding::hot(at)))
    }
}

/// Refuses water at or above the boil: there the equation does not hold.
fn below_the_boil(at: Temperature, surface: &OpenSurface, field: &str) -> Result<(), Refused> {
    let boil = water::boiling_point(surface.atmosphere)?;
    if at < boil {
        return Ok(());
    }
    let what = format!(
        "{at} found; below the boil at {:.2} °C is allowed",
        boil.celsius()
    );
    Err(Refused::fields(&[field], what))
}
