//! What a heater really puts into a pot.

use model::about::REGRESSION;
use model::calibration::{self, HeatingLog, TemperatureReading};
use model::heating::Heater;
use model::inputs::{
    Amount, BurnerPower, HeatingShare, LiquidTemperature, PotLoss, RoomTemperature, SteelMass,
    VesselVolume, WaitMinutes,
};
use model::{Conductance, Fraction, Load, Power};
use serde::Serialize;
use utoipa::ToSchema;

use super::{estimate, estimated, trusted};
use crate::app::calculations::calculation::{Calculate, Calculated, Card};
use crate::app::calculations::inputs::inputs;
use crate::app::calculations::refused::Refused;
use crate::app::calculations::values::{
    ConductanceValue, MassValue, PowerValue, TemperatureValue, TimeValue, VolumeValue,
};

inputs! {
    /// A temperature read while a pot warms.
    HeatingReadingInputs => HeatingReadingEcho {
        required {
            /// Time since the start.
            time_min: WaitMinutes => time: TimeValue,
            /// Temperature then.
            temperature_c: LiquidTemperature => temperature: TemperatureValue,
        }
    }
}

inputs! {
    /// A log of a pot that was heated.
    HeaterInputs => HeaterEcho {
        required {
            /// Water, in litres measured cold.
            liquid_l: VesselVolume => liquid: VolumeValue,
            /// Heat the heater takes in.
            power_w: BurnerPower => power: PowerValue,
            /// Share of it that should reach the pot.
            efficiency: HeatingShare => efficiency: Fraction,
        }
        defaulted {
            /// Steel of the pot.
            steel_kg: SteelMass = 0.0 => steel: MassValue,
            /// Heat the pot should lose to the room per kelvin.
            loss_w_per_k: PotLoss = 5.0 => loss: ConductanceValue,
            /// Temperature of the room.
            room_c: RoomTemperature = 20.0 => room: TemperatureValue,
        }
        optional {
            /// Where the estimate is to be used, K above the room; refused outside the readings.
            use_at: Amount => use_at: Amount,
        }
        lists {
            /// The readings, in order of time.
            readings: HeatingReadingInputs[3, 500] => HeatingReadingEcho,
        }
    }
}

estimate! {
    /// Heat that reaches a pot.
    GainEstimate: PowerValue
}
estimate! {
    /// Heat a pot loses per kelvin.
    LossEstimate: ConductanceValue
}

/// What the readings say about heater and pot.
#[derive(Debug, Serialize, ToSchema)]
pub(in crate::app::calculations) struct HeaterAnswer {
    /// Heat that reaches the pot: power times efficiency.
    gain: GainEstimate,
    /// Loss to the room per kelvin.
    loss: LossEstimate,
}

impl Calculate for HeaterInputs {
    type Answer = HeaterAnswer;

    const CARD: Card = Card {
        name: "calibration/heater",
        title: "Heat input and loss of a pot, from readings",
        answers: "How much of the heater's power reaches the water, and how much does the pot lose?",
        equations: &[REGRESSION],
        blamed: &["readings"],
        example: r#"{"liquid_l": 30, "steel_kg": 6, "power_w": 3500, "efficiency": 0.85, "readings": [{"time_min": 0, "temperature_c": 15}, {"time_min": 20, "temperature_c": 42}, {"time_min": 40, "temperature_c": 67}, {"time_min": 60, "temperature_c": 89}]}"#,
    };

    fn calculate(&self) -> Result<Calculated<HeaterAnswer>, Refused> {
        let room = self.room_c().into();
        let log = HeatingLog {
            load: Load {
                liquid: self.liquid_l.into(),
                steel: self.steel_kg().into(),
            },
            room,
        };
        let theory = Heater {
            power: self.power_w.into(),
            efficiency: self.efficiency.into(),
            loss: self.loss_w_per_k().into(),
            room,
        };
        let readings: Vec<TemperatureReading> = self
            .readings
            .iter()
            .map(|reading| TemperatureReading {
                time: reading.time_min.into(),
                temperature: reading.temperature_c.into(),
            })
            .collect();
        let found = calibration::heater(&log, &readings, &theory)?;
        let (gain, loss) = (
            trusted(found.gain, self.use_at)?,
            trusted(found.loss, self.use_at)?,
        );
        Ok(Calculated::new(HeaterAnswer {
            gain: estimated!(GainEstimate from gain, Power),
            loss: estimated!(LossEstimate from loss, Conductance),
        }))
    }
}
