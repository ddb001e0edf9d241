//! Where the gas of a cylinder really goes.

use model::about::REGRESSION;
use model::calibration::{self, GasReading, GasUse};
use model::inputs::{
    Amount, CylinderLoss, GasPerKeg, GasPerLitre, GassedKegs, LeakRate, PouredVolume, WaitDays,
};
use model::{Mass, MassFlow};
use serde::Serialize;
use utoipa::ToSchema;

use super::{estimate, estimated, trusted};
use crate::app::calculations::calculation::{Calculate, Calculated, Card};
use crate::app::calculations::inputs::inputs;
use crate::app::calculations::refused::Refused;
use crate::app::calculations::values::{MassFlowValue, MassValue, TimeValue, VolumeValue};

inputs! {
    /// A stretch of time between two weighings of the cylinder.
    GasReadingInputs => GasReadingEcho {
        required {
            /// Kegs carbonated.
            kegs: GassedKegs => kegs: GassedKegs,
            /// Drink poured.
            poured_l: PouredVolume => poured: VolumeValue,
            /// How long it was.
            time_d: WaitDays => time: TimeValue,
            /// Weight lost by the cylinder.
            used_kg: CylinderLoss => used: MassValue,
        }
    }
}

inputs! {
    /// Weighings of a cylinder.
    GasUseInputs => GasUseEcho {
        defaulted {
            /// CO2 that carbonating a keg should take.
            per_keg_g: GasPerKeg = 185.0 => per_keg: MassValue,
            /// CO2 that should follow a litre poured.
            per_litre_g: GasPerLitre = 5.9 => per_litre: MassValue,
            /// What should leak in a day.
            leak_g_per_d: LeakRate = 5.0 => leak: MassFlowValue,
        }
        optional {
            /// Where the estimate is to be used, days between weighings; refused outside the
            /// readings.
            use_at: Amount => use_at: Amount,
        }
        lists {
            /// The stretches; kegs, litres and days must vary independently.
            readings: GasReadingInputs[3, 500] => GasReadingEcho,
        }
    }
}

estimate! {
    /// CO2 for a keg, or for a litre.
    GasMassEstimate: MassValue
}
estimate! {
    /// CO2 that leaks.
    LeakEstimate: MassFlowValue
}

/// What a keg, a litre and a day really take.
#[derive(Debug, Serialize, ToSchema)]
pub(in crate::app::calculations) struct GasUseAnswer {
    /// CO2 for carbonating one keg.
    per_keg: GasMassEstimate,
    /// CO2 that follows one litre poured.
    per_litre: GasMassEstimate,
    /// What leaks.
    leak: LeakEstimate,
}

impl Calculate for GasUseInputs {
    type Answer = GasUseAnswer;

    const CARD: Card = Card {
        name: "calibration/gas-use",
        title: "Gas per keg, per litre, and the leak",
        answers: "Where does the gas of the cylinder go, and how much of it leaks?",
        equations: &[REGRESSION],
        blamed: &["readings"],
        example: r#"{"readings": [{"kegs": 6, "poured_l": 60, "time_d": 7, "used_kg": 1.7}, {"kegs": 2, "poured_l": 80, "time_d": 7, "used_kg": 1.05}, {"kegs": 0, "poured_l": 0, "time_d": 3, "used_kg": 0.09}, {"kegs": 8, "poured_l": 110, "time_d": 6, "used_kg": 2.3}]}"#,
    };

    fn calculate(&self) -> Result<Calculated<GasUseAnswer>, Refused> {
        let readings: Vec<GasReading> = self
            .readings
            .iter()
            .map(|reading| GasReading {
                kegs: reading.kegs.value(),
                poured: reading.poured_l.into(),
                time: reading.time_d.into(),
                used: reading.used_kg.into(),
            })
            .collect();
        let theory = GasUse {
            per_keg: self.per_keg_g().into(),
            per_litre: self.per_litre_g().into(),
            leak: self.leak_g_per_d().into(),
        };
        let found = calibration::gas_use(&readings, &theory)?;
        let (per_keg, per_litre) = (
            trusted(found.per_keg, self.use_at)?,
            trusted(found.per_litre, self.use_at)?,
        );
        Ok(Calculated::new(GasUseAnswer {
            per_keg: estimated!(GasMassEstimate from per_keg, Mass),
            per_litre: estimated!(GasMassEstimate from per_litre, Mass),
            leak: estimated!(LeakEstimate from found.leak, MassFlow),
        }))
    }
}
