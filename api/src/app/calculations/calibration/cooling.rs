//! Conductance of a cold place or a bath.

use model::about::REGRESSION;
use model::calibration::{self, CoolingLog, TemperatureReading};
use model::inputs::{
    Amount, BathConductance, LiquidTemperature, SteelMass, StoreTemperature, VesselVolume,
    WaitHours,
};
use model::{Conductance, Load};

use super::{estimate, estimated, trusted};
use crate::app::calculations::calculation::{Calculate, Calculated, Card};
use crate::app::calculations::inputs::inputs;
use crate::app::calculations::refused::Refused;
use crate::app::calculations::values::{
    ConductanceValue, MassValue, TemperatureValue, TimeValue, VolumeValue,
};

inputs! {
    /// A temperature read while something cools.
    CoolingReadingInputs => CoolingReadingEcho {
        required {
            /// Time since the start.
            time_h: WaitHours => time: TimeValue,
            /// Temperature then.
            temperature_c: LiquidTemperature => temperature: TemperatureValue,
        }
    }
}

inputs! {
    /// A log of something that cooled. Where nothing is said it is a full 19 L steel keg.
    ColdPlaceInputs => ColdPlaceEcho {
        required {
            /// Temperature at the start.
            start_c: LiquidTemperature => start: TemperatureValue,
            /// Air or bath, constant over the log.
            surroundings_c: StoreTemperature => surroundings: TemperatureValue,
        }
        defaulted {
            /// Liquid, in litres measured cold.
            liquid_l: VesselVolume = 18.5 => liquid: VolumeValue,
            /// Steel that holds it.
            steel_kg: SteelMass = 4.2 => steel: MassValue,
            /// Conductance by theory, as `cooling/keg` gives it; about 2 in still air, 4 with a fan,
            /// 45 in a bath.
            theory_w_per_k: BathConductance = 2.0 => theory: ConductanceValue,
        }
        optional {
            /// Where the estimate is to be used, K above the surroundings; refused outside the
            /// readings.
            use_at: Amount => use_at: Amount,
        }
        lists {
            /// The readings; those within 1 K of the surroundings are left out.
            readings: CoolingReadingInputs[1, 500] => CoolingReadingEcho,
        }
    }
}

estimate! {
    /// Conductance of a place.
    ColdPlaceAnswer: ConductanceValue
}

impl Calculate for ColdPlaceInputs {
    type Answer = ColdPlaceAnswer;

    const CARD: Card = Card {
        name: "calibration/cold-place",
        title: "Conductance of a cold place, from readings",
        answers: "How easily does heat leave a keg in this place of a store, or in this bath?",
        equations: &[REGRESSION],
        blamed: &["readings", "start_c", "surroundings_c"],
        example: r#"{"start_c": 40, "surroundings_c": 2, "readings": [{"time_h": 6, "temperature_c": 27}, {"time_h": 12, "temperature_c": 18.7}, {"time_h": 24, "temperature_c": 9.3}]}"#,
    };

    fn calculate(&self) -> Result<Calculated<ColdPlaceAnswer>, Refused> {
        let log = CoolingLog {
            load: Load {
                liquid: self.liquid_l().into(),
                steel: self.steel_kg().into(),
            },
            surroundings: self.surroundings_c.into(),
            start: self.start_c.into(),
        };
        let readings: Vec<TemperatureReading> = self
            .readings
            .iter()
            .map(|reading| TemperatureReading {
                time: reading.time_h.into(),
                temperature: reading.temperature_c.into(),
            })
            .collect();
        let found = calibration::conductance(&log, &readings, self.theory_w_per_k().into())?;
        let found = trusted(found, self.use_at)?;
        Ok(Calculated::new(
            estimated!(ColdPlaceAnswer from found, Conductance),
        ))
    }
}
