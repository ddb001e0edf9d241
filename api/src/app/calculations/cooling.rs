//! Containers that cool in air, one or several.

use model::about::{COLD_STORE, COOLING_IN_AIR};
use model::cooling::{self, Container, State, Store, Stored, Surroundings};
use model::inputs::{
    AirSpeedInStore, Barometer, BlackbodyShare, ContainerSize, LiquidTemperature, RoomTemperature,
    SteelMass, StoreCooling, StoreHours, StoreTemperature, VesselVolume, WaitHours,
    WallConductance,
};
use model::limits::HOT_SEALED;
use model::{Elevation, Fraction, Load, SugarContent, Temperature, TimeSpan};
use serde::Serialize;
use utoipa::ToSchema;

use super::calculation::{Calculate, Calculated, Card};
use super::inputs::inputs;
use super::minding;
use super::refused::Refused;
use super::series::{POINTS, instants};
use super::values::{
    AbsolutePressureValue, ConductanceValue, ElevationValue, HeatFlowValue, LengthValue, MassValue,
    PowerValue, Shown, SpeedValue, TemperatureValue, TimeValue, VolumeValue,
};

/// The container that inputs describe.
macro_rules! container {
    ($inputs:ident) => {
        Container {
            load: Load {
                liquid: $inputs.liquid_l().into(),
                steel: $inputs.steel_kg().into(),
            },
            diameter: $inputs.diameter_m().into(),
            height: $inputs.height_m().into(),
            emissivity: $inputs.emissivity().into(),
        }
    };
}
pub(super) use container;

inputs! {
    /// A container in air. Where nothing is said it is a full 19 L steel keg.
    CoolingKegInputs => CoolingKegEcho at site {
        required {
            /// Temperature before.
            from_c: LiquidTemperature => from: TemperatureValue,
            /// Temperature of the air.
            air_c: StoreTemperature => air: TemperatureValue,
        }
        defaulted {
            /// Speed of the air past the container; 0 without a fan.
            air_speed_m_per_s: AirSpeedInStore = 0.0 => air_speed: SpeedValue,
            /// How long the curve is.
            time_h: WaitHours = 48.0 => time: TimeValue,
            /// Liquid in it, in litres measured cold.
            liquid_l: VesselVolume = 18.5 => liquid: VolumeValue,
            /// Steel that holds it.
            steel_kg: SteelMass = 4.2 => steel: MassValue,
            /// Outer diameter.
            diameter_m: ContainerSize = 0.22 => diameter: LengthValue,
            /// Outer height.
            height_m: ContainerSize = 0.56 => height: LengthValue,
            /// Emissivity of the outside: 0.2 for stainless steel, 0.9 for plastic or paint.
            emissivity: BlackbodyShare = 0.2 => emissivity: Fraction,
        }
        optional {
            /// Temperature wanted; then the time to it is given.
            to_c: LiquidTemperature => to: TemperatureValue,
        }
    }
}

/// How the container cools.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct CoolingKegAnswer {
    /// Time to the temperature wanted; null where none is.
    time: Option<TimeValue>,
    /// Heat given to the air at the start, the most there will be.
    first_heat: HeatFlowValue,
    /// Conductance to the air at the start; it falls as the container cools.
    first_conductance: ConductanceValue,
    /// Temperature at evenly spaced times, and the mean heat given off from there to the next.
    curve: Vec<CoolingPoint>,
}

/// A container at a time.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct CoolingPoint {
    /// Time since the start.
    time: TimeValue,
    /// Temperature of the contents.
    temperature: TemperatureValue,
    /// Mean heat given off until the next point; negative while the container warms.
    heat: HeatFlowValue,
}

impl Calculate for CoolingKegInputs {
    type Answer = CoolingKegAnswer;

    const CARD: Card = Card {
        name: "cooling/keg",
        title: "A keg that cools in air",
        answers: "How long does a filled container take in a cold store of constant air, and how \
                  much heat does the store have to carry away?",
        equations: &[COOLING_IN_AIR],
        blamed: &["to_c", "from_c", "air_c", "time_h"],
        example: r#"{"from_c": 60, "to_c": 4, "air_c": 2, "air_speed_m_per_s": 1}"#,
    };

    fn calculate(&self) -> Result<Calculated<CoolingKegAnswer>, Refused> {
        let container = container!(self);
        let around = Surroundings {
            air: self.air_c.into(),
            speed: self.air_speed_m_per_s().into(),
            atmosphere: self.atmosphere()?,
        };
        let from: Temperature = self.from_c.into();
        let to = self
            .to_c
            .map(|to| cooling::time_to(&container, around, from, to.into()));
        let first = cooling::after(&container, around, from, TimeSpan::ZERO)?;
        let answer = CoolingKegAnswer {
            time: Shown::of(to.transpose()?),
            first_heat: Shown::of(first.heat),
            first_conductance: Shown::of(cooling::conductance(&container, from, around)?),
            curve: curve(&container, around, from, self.time_h().into())?,
        };
        Ok(Calculated::new(answer)
            .mind_all(minding::hot(from))
            .mind_if(!minding::hot(from).is_empty(), HOT_SEALED)
            .mind_all(minding::cold(around.air, SugarContent::of(0.0))?))
    }
}

fn curve(
    container: &Container,
    around: Surroundings,
    from: Temperature,
    end: TimeSpan,
) -> Result<Vec<CoolingPoint>, Refused> {
    let step = TimeSpan::new(end.seconds() / f64::from(POINTS - 1))?;
    let mut states = [State::BLANK; POINTS as usize];
    cooling::curve(container, around, from, step, &mut states)?;
    let points = instants(end, POINTS)?.zip(states);
    Ok(points
        .map(|(time, state)| CoolingPoint {
            time: Shown::of(time),
            temperature: Shown::of(state.temperature),
            heat: Shown::of(state.heat),
        })
        .collect())
}

inputs! {
    /// A container in a store. Where nothing is said it is a full 19 L steel keg.
    StoredInputs => StoredEcho {
        required {
            /// Temperature when it is put in.
            temperature_c: LiquidTemperature => temperature: TemperatureValue,
        }
        defaulted {
            /// Liquid in it, in litres measured cold.
            liquid_l: VesselVolume = 18.5 => liquid: VolumeValue,
            /// Steel that holds it.
            steel_kg: SteelMass = 4.2 => steel: MassValue,
            /// Outer diameter.
            diameter_m: ContainerSize = 0.22 => diameter: LengthValue,
            /// Outer height.
            height_m: ContainerSize = 0.56 => height: LengthValue,
            /// Emissivity of the outside: 0.2 for stainless steel, 0.9 for plastic or paint.
            emissivity: BlackbodyShare = 0.2 => emissivity: Fraction,
        }
    }
}

inputs! {
    /// A cold store and what is put into it at the start.
    StoreInputs => StoreEcho at site {
        required {
            /// Temperature the thermostat holds while it can.
            set_point_c: StoreTemperature => set_point: TemperatureValue,
            /// Most heat the refrigeration carries away.
            cooling_w: StoreCooling => cooling: PowerValue,
        }
        defaulted {
            /// Conductance of walls and door, to the room.
            walls_w_per_k: WallConductance = 2.0 => walls: ConductanceValue,
            /// Temperature of the room.
            room_c: RoomTemperature = 22.0 => room: TemperatureValue,
            /// Speed of the air inside; 0 without a fan.
            air_speed_m_per_s: AirSpeedInStore = 0.0 => air_speed: SpeedValue,
            /// How long it is followed.
            time_h: StoreHours = 24.0 => time: TimeValue,
        }
        lists {
            /// What is put into it.
            contents: StoredInputs[1, 24] => StoredEcho,
        }
    }
}

/// How store and contents fare.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct StoreAnswer {
    /// Whether the load is more than the cooling at the start, so that the air warms.
    overloaded: bool,
    /// Warmest air at the times of the curve.
    warmest_air: TemperatureValue,
    /// Warmest content at the end.
    warmest_content: TemperatureValue,
    /// Air, load and contents at evenly spaced times.
    curve: Vec<StorePoint>,
}

/// A store at a time.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct StorePoint {
    /// Time since the start.
    time: TimeValue,
    /// Temperature of the air.
    air: TemperatureValue,
    /// Heat coming from contents and walls.
    load: HeatFlowValue,
    /// Whether the air is warmer than the set point because the load outgrows the cooling.
    overloaded: bool,
    /// Temperature of each container, in the order they were given.
    contents: Vec<TemperatureValue>,
}

impl Calculate for StoreInputs {
    type Answer = StoreAnswer;

    const CARD: Card = Card {
        name: "cooling/store",
        title: "A cold store with several warm kegs",
        answers: "How warm does the air of a cold store get when its load passes its cooling, and \
                  how long do the kegs in it then take?",
        equations: &[COLD_STORE, COOLING_IN_AIR],
        blamed: &["contents", "set_point_c", "cooling_w"],
        example: r#"{"set_point_c": 2, "cooling_w": 300, "contents": [{"temperature_c": 60}, {"temperature_c": 60}]}"#,
    };

    fn calculate(&self) -> Result<Calculated<StoreAnswer>, Refused> {
        let store = Store {
            set_point: self.set_point_c.into(),
            power: self.cooling_w.into(),
            walls: self.walls_w_per_k().into(),
            room: self.room_c().into(),
            speed: self.air_speed_m_per_s().into(),
            atmosphere: self.atmosphere()?,
        };
        let mut contents: Vec<Stored> = self.contents.iter().map(StoredInputs::stored).collect();
        let hottest = warmest(contents.iter().map(|stored| stored.temperature));
        let overloaded = cooling::air(&store, &contents)?.overloaded;
        let (points, warmest_air) = follow(&store, &mut contents, self.time_h().into())?;
        let answer = StoreAnswer {
            overloaded,
            warmest_air: Shown::of(warmest_air),
            warmest_content: Shown::of(warmest(contents.iter().map(|stored| stored.temperature))),
            curve: points,
        };
        Ok(Calculated::new(answer)
            .mind_all(minding::hot(hottest))
            .mind_all(minding::cold(store.set_point, SugarContent::of(0.0))?))
    }
}

impl StoredInputs {
    fn stored(&self) -> Stored {
        Stored {
            container: container!(self),
            temperature: self.temperature_c.into(),
            count: 1,
        }
    }
}

fn warmest(temperatures: impl Iterator<Item = Temperature>) -> Temperature {
    temperatures.fold(Temperature::of(-60.0), |warmest, next| {
        if next > warmest { next } else { warmest }
    })
}

/// Follows a store through its points; also the warmest air at any of them.
fn follow(
    store: &Store,
    contents: &mut [Stored],
    time: TimeSpan,
) -> Result<(Vec<StorePoint>, Temperature), Refused> {
    let step = TimeSpan::new(time.seconds() / f64::from(POINTS - 1))?;
    let (mut points, mut airs) = (Vec::new(), Vec::new());
    for (n, at) in instants(time, POINTS)?.enumerate() {
        if n > 0 {
            cooling::run(store, contents, step)?;
        }
        let air = cooling::air(store, contents)?;
        airs.push(air.temperature);
        points.push(StorePoint {
            time: Shown::of(at),
            air: Shown::of(air.temperature),
            load: Shown::of(air.load),
            overloaded: air.overloaded,
            contents: contents
                .iter()
                .map(|stored| Shown::of(stored.temperature))
                .collect(),
        });
    }
    Ok((points, warmest(airs.into_iter())))
}
