//! Food ice, and the cooling of drinks that need it.

use model::about::{COOLING_IN_AIR, LIMITS};
use model::cooling::{Container, Surroundings};
use model::inputs::{
    AirSpeedInStore, Barometer, BlackbodyShare, ContainerSize, RoomTemperature, SteelMass,
    StoreTemperature, VesselVolume,
};
use model::limits::{self, IceUse};
use model::{Elevation, Fraction, Load};
use serde::Serialize;
use utoipa::ToSchema;

use crate::app::calculations::calculation::{Calculate, Calculated, Card};
use crate::app::calculations::cooling::container;
use crate::app::calculations::inputs::inputs;
use crate::app::calculations::notes::{RuleNote, VerdictNote};
use crate::app::calculations::refused::Refused;
use crate::app::calculations::values::{
    AbsolutePressureValue, ElevationValue, LengthValue, MassValue, SpeedValue, TemperatureValue,
    VolumeValue,
};

inputs! {
    /// Ice and what is done with it.
    FoodIceInputs => FoodIceEcho {
        choices {
            /// It was made from drinking water.
            from_drinking_water: bool,
            /// It has cooled containers from outside.
            cooled_outside: bool,
            /// It goes into a drink, or into water that becomes one.
            into_drink: bool,
        }
    }
}

/// Verdicts on ice.
#[derive(Debug, Serialize, ToSchema)]
pub(in crate::app::calculations) struct FoodIceAnswer {
    /// Whether every rule is kept.
    #[schema(example = true)]
    accepted: bool,
    /// What the ice is made of, whether coolant ice is drunk, and ice as a way of cooling.
    rules: Vec<RuleNote>,
}

impl Calculate for FoodIceInputs {
    type Answer = FoodIceAnswer;

    const CARD: Card = Card {
        name: "limits/food-ice",
        title: "Ice as food",
        answers: "May this ice be used so? Ice is food, and ice that cooled from outside never is.",
        equations: &[LIMITS],
        blamed: &["into_drink"],
        example: r#"{"from_drinking_water": true, "cooled_outside": false, "into_drink": true}"#,
    };

    fn calculate(&self) -> Result<Calculated<FoodIceAnswer>, Refused> {
        let rules = limits::food_ice(IceUse {
            from_drinking_water: self.from_drinking_water,
            cooled_outside: self.cooled_outside,
            into_drink: self.into_drink,
        });
        let answer = FoodIceAnswer {
            accepted: rules.iter().all(|rule| rule.accepted),
            rules: rules.into_iter().map(RuleNote::from).collect(),
        };
        let broken = rules.into_iter().filter(|rule| !rule.accepted);
        Ok(Calculated::new(answer).mind_all(broken.map(Into::into)))
    }
}

inputs! {
    /// A container of a perishable drink in a store. Where nothing is said it is a full 19 L steel
    /// keg.
    CoolingTimeInputs => CoolingTimeEcho at site {
        required {
            /// Temperature of the air.
            air_c: StoreTemperature => air: TemperatureValue,
        }
        defaulted {
            /// Speed of the air past the container; 0 without a fan.
            air_speed_m_per_s: AirSpeedInStore = 0.0 => air_speed: SpeedValue,
            /// Temperature of drinks that were never hot.
            room_c: RoomTemperature = 20.0 => room: TemperatureValue,
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

/// Verdicts on cooling, in hours.
#[derive(Debug, Serialize, ToSchema)]
pub(in crate::app::calculations) struct CoolingTimeAnswer {
    /// From 57 to 21 °C, for drinks that were cooked.
    cooked_to_21_c: VerdictNote,
    /// From 57 to 5 °C, for drinks that were cooked.
    cooked_to_5_c: VerdictNote,
    /// From room temperature to 5 °C, for drinks that were not.
    mixed_to_5_c: VerdictNote,
}

impl Calculate for CoolingTimeInputs {
    type Answer = CoolingTimeAnswer;

    const CARD: Card = Card {
        name: "limits/cooling-time",
        title: "Whether a perishable drink cools fast enough",
        answers: "Does a drink that needs time and temperature control cool in time here? Plain \
                  carbonated water does not need it; some juices do.",
        equations: &[COOLING_IN_AIR, LIMITS],
        blamed: &["air_c", "room_c"],
        example: r#"{"air_c": 2, "liquid_l": 1, "steel_kg": 0.1, "diameter_m": 0.08, "height_m": 0.3, "emissivity": 0.9, "air_speed_m_per_s": 1}"#,
    };

    fn calculate(&self) -> Result<Calculated<CoolingTimeAnswer>, Refused> {
        let container = container!(self);
        let around = Surroundings {
            air: self.air_c.into(),
            speed: self.air_speed_m_per_s().into(),
            atmosphere: self.atmosphere()?,
        };
        let [to_21, to_5] = limits::perishable_cooling(&container, around)?;
        let mixed = limits::perishable_cooling_from(&container, around, self.room_c().into())?;
        let answer = CoolingTimeAnswer {
            cooked_to_21_c: to_21.into(),
            cooked_to_5_c: to_5.into(),
            mixed_to_5_c: mixed.into(),
        };
        let broken = [to_21, to_5, mixed]
            .into_iter()
            .filter(|verdict| !verdict.accepted);
        Ok(Calculated::new(answer).mind_all(broken.map(Into::into)))
    }
}
