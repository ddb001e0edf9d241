//! Offsets of gauges and thermometers.

use model::about::REGRESSION;
use model::calibration;
use model::inputs::{Amount, LiquidTemperature, VesselPressure};
use model::{GaugePressure, PressureDifference, Temperature, TemperatureDifference};

use super::{estimate, estimated, trusted};
use crate::app::calculations::calculation::{Calculate, Calculated, Card};
use crate::app::calculations::inputs::inputs;
use crate::app::calculations::refused::Refused;
use crate::app::calculations::values::{
    GaugePressureValue, PressureDifferenceValue, TemperatureDifferenceValue, TemperatureValue,
};

inputs! {
    /// A gauge beside a reference.
    GaugeReadingInputs => GaugeReadingEcho {
        required {
            /// What the gauge shows.
            shown_bar: VesselPressure => shown: GaugePressureValue,
            /// What the reference shows.
            real_bar: VesselPressure => real: GaugePressureValue,
        }
    }
}

inputs! {
    /// A gauge held against a reference.
    GaugeOffsetInputs => GaugeOffsetEcho {
        optional {
            /// Where the estimate is to be used, bar; refused outside the readings.
            use_at: Amount => use_at: Amount,
        }
        lists {
            /// The pairs.
            readings: GaugeReadingInputs[1, 500] => GaugeReadingEcho,
        }
    }
}

estimate! {
    /// What a gauge shows too much.
    GaugeOffsetAnswer: PressureDifferenceValue
}

impl Calculate for GaugeOffsetInputs {
    type Answer = GaugeOffsetAnswer;

    const CARD: Card = Card {
        name: "calibration/gauge-offset",
        title: "What a gauge shows too much",
        answers: "How far off is this gauge, by pairs with a reference gauge?",
        equations: &[REGRESSION],
        blamed: &["readings"],
        example: r#"{"readings": [{"shown_bar": 2.2, "real_bar": 2}, {"shown_bar": 3.2, "real_bar": 3}, {"shown_bar": 1.2, "real_bar": 1}]}"#,
    };

    fn calculate(&self) -> Result<Calculated<GaugeOffsetAnswer>, Refused> {
        let pairs: Vec<(GaugePressure, GaugePressure)> = self
            .readings
            .iter()
            .map(|reading| (reading.shown_bar.into(), reading.real_bar.into()))
            .collect();
        let found = trusted(calibration::gauge_offset(&pairs)?, self.use_at)?;
        Ok(Calculated::new(
            estimated!(GaugeOffsetAnswer from found, PressureDifference),
        ))
    }
}

inputs! {
    /// A thermometer beside the truth.
    ThermometerReadingInputs => ThermometerReadingEcho {
        required {
            /// What the thermometer shows.
            shown_c: LiquidTemperature => shown: TemperatureValue,
            /// The true temperature, as 0 °C in melting ice.
            real_c: LiquidTemperature => real: TemperatureValue,
        }
    }
}

inputs! {
    /// A thermometer held against the truth.
    ThermometerOffsetInputs => ThermometerOffsetEcho {
        optional {
            /// Where the estimate is to be used, °C; refused outside the readings.
            use_at: Amount => use_at: Amount,
        }
        lists {
            /// The pairs.
            readings: ThermometerReadingInputs[1, 500] => ThermometerReadingEcho,
        }
    }
}

estimate! {
    /// What a thermometer shows too much.
    ThermometerOffsetAnswer: TemperatureDifferenceValue
}

impl Calculate for ThermometerOffsetInputs {
    type Answer = ThermometerOffsetAnswer;

    const CARD: Card = Card {
        name: "calibration/thermometer-offset",
        title: "What a thermometer shows too much",
        answers: "How far off is this thermometer, by readings in melting ice or beside a reference?",
        equations: &[REGRESSION],
        blamed: &["readings"],
        example: r#"{"readings": [{"shown_c": 1, "real_c": 0}]}"#,
    };

    fn calculate(&self) -> Result<Calculated<ThermometerOffsetAnswer>, Refused> {
        let pairs: Vec<(Temperature, Temperature)> = self
            .readings
            .iter()
            .map(|reading| (reading.shown_c.into(), reading.real_c.into()))
            .collect();
        let found = trusted(calibration::thermometer_offset(&pairs)?, self.use_at)?;
        Ok(Calculated::new(
            estimated!(ThermometerOffsetAnswer from found, TemperatureDifference),
        ))
    }
}
