//! Ice: how much, what it does to the water, and a bath of it.

use model::about::{ICE_BALANCE, ICE_BATH};
use model::ice::{self, Mix};
use model::inputs::{
    BathConductance, IceContent, IceMass, IceTemperature, LiquidTemperature, SteelMass,
    StoreTemperature, VesselVolume, WaitHours, WaterAir,
};
use model::limits::{COOLANT_ICE, ICE_IN_WATER, ICE_SOURCE};
use model::{Fraction, IceFactor, Load, Temperature, TimeSpan, ice_bath};
use serde::Serialize;
use utoipa::ToSchema;

use super::calculation::{Calculate, Calculated, Card};
use super::inputs::inputs;
use super::minding;
use super::refused::Refused;
use super::series::{POINTS, instants};
use super::values::{
    AirContentValue, ConductanceValue, MassValue, Shown, TemperatureValue, TimeValue, VolumeValue,
};

inputs! {
    /// Cold water wanted, by melting ice in hot water.
    IceNeededInputs => IceNeededEcho {
        required {
            /// Water wanted in all, in litres measured cold.
            total_l: VesselVolume => total: VolumeValue,
            /// Temperature of the hot water.
            from_c: LiquidTemperature => from: TemperatureValue,
            /// Temperature wanted.
            to_c: LiquidTemperature => to: TemperatureValue,
        }
        defaulted {
            /// Temperature of the ice.
            ice_c: IceTemperature = 0.0 => ice: TemperatureValue,
            /// Ice really used over ice needed by theory; 1.05 to 1.15 for wet ice.
            ice_factor: IceFactor = 1.0 => ice_factor: IceFactor,
        }
    }
}

/// What to boil and what to add.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct IceNeededAnswer {
    /// Water to heat, in litres measured cold.
    hot: VolumeValue,
    /// Ice to add to it.
    ice: MassValue,
    /// Ice for each kilogram of hot water.
    #[schema(minimum = 0, maximum = 10, example = 1.052)]
    ratio: f64,
}

impl Calculate for IceNeededInputs {
    type Answer = IceNeededAnswer;

    const CARD: Card = Card {
        name: "ice/needed",
        title: "Ice that cools hot water",
        answers: "How much to heat and how much ice to add for so many litres at this temperature? \
                  The ice becomes part of the water.",
        equations: &[ICE_BALANCE],
        blamed: &["from_c", "to_c"],
        example: r#"{"total_l": 18.5, "from_c": 92, "to_c": 4, "ice_c": -5}"#,
    };

    fn calculate(&self) -> Result<Calculated<IceNeededAnswer>, Refused> {
        let (from, to) = (self.from_c.into(), self.to_c.into());
        let (ice, factor) = (self.ice_c().into(), self.ice_factor());
        let recipe = ice::recipe(self.total_l.into(), from, to, ice, factor)?;
        let answer = IceNeededAnswer {
            hot: Shown::of(recipe.hot),
            ice: Shown::of(recipe.ice),
            ratio: ice::needed_ratio(from, to, ice, factor)?,
        };
        Ok(Calculated::new(answer)
            .mind_all(minding::hot(from))
            .mind(ICE_IN_WATER)
            .mind(ICE_SOURCE.judge(true)))
    }
}

inputs! {
    /// Hot water and the ice that goes into it.
    IceMixInputs => IceMixEcho {
        required {
            /// Hot water, in litres measured cold.
            hot_l: VesselVolume => hot: VolumeValue,
            /// Temperature of the hot water.
            temperature_c: LiquidTemperature => temperature: TemperatureValue,
            /// Ice added.
            ice_kg: IceMass => ice: MassValue,
        }
        defaulted {
            /// Temperature of the ice.
            ice_c: IceTemperature = 0.0 => ice_temperature: TemperatureValue,
            /// Air left in the hot water.
            air_mg_per_l: WaterAir = 0.0 => air: AirContentValue,
            /// Air in the ice, per litre of its meltwater: 30 is cloudy, 0 clear.
            ice_air_mg_per_l: IceContent = 30.0 => ice_air: AirContentValue,
        }
    }
}

/// The cooled water.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct IceMixAnswer {
    /// Water once the ice has melted, in litres measured cold.
    volume: VolumeValue,
    /// Its temperature; 0 °C where ice is left.
    temperature: TemperatureValue,
    /// Air in it, from both.
    air: AirContentValue,
    /// Share of it that was ice.
    ice_share: Fraction,
    /// Ice that is left.
    unmelted: MassValue,
}

impl Calculate for IceMixInputs {
    type Answer = IceMixAnswer;

    const CARD: Card = Card {
        name: "ice/mix",
        title: "Hot water with ice in it",
        answers: "How cold does the water get, how much is there, and how much air has the ice \
                  brought?",
        equations: &[ICE_BALANCE],
        blamed: &["hot_l", "temperature_c", "ice_kg"],
        example: r#"{"hot_l": 9.15, "temperature_c": 92, "air_mg_per_l": 3.9, "ice_kg": 9.35, "ice_c": -5}"#,
    };

    fn calculate(&self) -> Result<Calculated<IceMixAnswer>, Refused> {
        let at = self.temperature_c.into();
        let mixed = ice::mixed(&Mix {
            hot: self.hot_l.into(),
            temperature: at,
            air: self.air_mg_per_l().into(),
            ice: self.ice_kg.into(),
            ice_temperature: self.ice_c().into(),
            ice_air: self.ice_air_mg_per_l().into(),
        })?;
        let answer = IceMixAnswer {
            volume: Shown::of(mixed.volume),
            temperature: Shown::of(mixed.temperature),
            air: Shown::of(mixed.air),
            ice_share: mixed.ice_share,
            unmelted: Shown::of(mixed.unmelted),
        };
        Ok(Calculated::new(answer)
            .mind_all(minding::hot(at))
            .mind(ICE_IN_WATER)
            .mind(ICE_SOURCE.judge(true)))
    }
}

inputs! {
    /// A covered pot or a keg in a bath.
    IceBathInputs => IceBathEcho {
        required {
            /// Temperature before.
            from_c: LiquidTemperature => from: TemperatureValue,
            /// Temperature wanted.
            to_c: LiquidTemperature => to: TemperatureValue,
        }
        defaulted {
            /// Water in it, in litres measured cold.
            liquid_l: VesselVolume = 18.5 => liquid: VolumeValue,
            /// Steel that holds it.
            steel_kg: SteelMass = 4.2 => steel: MassValue,
            /// Temperature of the bath.
            bath_c: StoreTemperature = 0.0 => bath: TemperatureValue,
            /// Conductance to the bath; the default is a 19 L keg in still ice water.
            conductance_w_per_k: BathConductance = 45.0 => conductance: ConductanceValue,
            /// Temperature of the ice.
            ice_c: IceTemperature = 0.0 => ice: TemperatureValue,
            /// Ice really used over ice needed by theory.
            ice_factor: IceFactor = 1.0 => ice_factor: IceFactor,
        }
        optional {
            /// Time for which the curve is drawn; until the temperature is reached where nothing is
            /// said.
            curve_h: WaitHours => curve_time: TimeValue,
        }
    }
}

/// What a bath takes.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct IceBathAnswer {
    /// How long it takes.
    time: TimeValue,
    /// Ice that melts meanwhile, besides what must be there to keep the bath cold.
    ice: MassValue,
    /// Temperature at evenly spaced times.
    curve: Vec<TemperaturePoint>,
}

/// Temperature at a time.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct TemperaturePoint {
    /// Time since the start.
    time: TimeValue,
    /// Temperature of the contents.
    temperature: TemperatureValue,
}

impl Calculate for IceBathInputs {
    type Answer = IceBathAnswer;

    const CARD: Card = Card {
        name: "ice/bath",
        title: "Cooling in an ice bath",
        answers: "How long does a covered pot or a keg take in a bath of ice water, and how much \
                  ice melts? The ice never goes into the drink.",
        equations: &[ICE_BATH, ICE_BALANCE],
        blamed: &["to_c", "from_c", "bath_c"],
        example: r#"{"from_c": 60, "to_c": 4}"#,
    };

    fn calculate(&self) -> Result<Calculated<IceBathAnswer>, Refused> {
        let load = Load {
            liquid: self.liquid_l().into(),
            steel: self.steel_kg().into(),
        };
        let (from, to): (Temperature, Temperature) = (self.from_c.into(), self.to_c.into());
        let (bath, ua) = (self.bath_c().into(), self.conductance_w_per_k().into());
        let time = ice_bath::time(&load, from, to, bath, ua)?;
        let ice = ice_bath::ice_used(&load, from, to, self.ice_c().into(), self.ice_factor())?;
        let point = |at: TimeSpan| -> Result<TemperaturePoint, Refused> {
            Ok(TemperaturePoint {
                time: Shown::of(at),
                temperature: Shown::of(ice_bath::after(&load, from, bath, ua, at)?),
            })
        };
        let end = self.curve_h.map_or(time, TimeSpan::from);
        let answer = IceBathAnswer {
            time: Shown::of(time),
            ice: Shown::of(ice),
            curve: instants(end, POINTS)?
                .map(point)
                .collect::<Result<_, _>>()?,
        };
        Ok(Calculated::new(answer)
            .mind_all(minding::hot(from))
            .mind(COOLANT_ICE.judge(true)))
    }
}
