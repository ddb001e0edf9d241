//! Units, and the air pressure of a site.

use model::about::{BOILING, STANDARD_ATMOSPHERE, UNITS};
use model::inputs::{Amount, Barometer, GaugeOffset, RegulatorPressure, WeatherReport};
use model::units::{Unit, convert};
use model::{Elevation, atmosphere, water};
use serde::Serialize;
use utoipa::ToSchema;

use super::calculation::{Calculate, Calculated, Card};
use super::inputs::inputs;
use super::refused::Refused;
use super::values::{
    AbsolutePressureValue, ElevationValue, GaugePressureValue, PressureDifferenceValue, Shown,
    TemperatureValue,
};

inputs! {
    /// A number in one unit, wanted in another of the same kind.
    ConvertInputs => ConvertEcho {
        required {
            /// The number.
            value: Amount => value: Amount,
        }
        choices {
            /// Its unit, named as fields end.
            from: Unit,
            /// The unit wanted.
            to: Unit,
        }
    }
}

/// The same quantity in another unit.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct ConvertAnswer {
    /// The number in the unit wanted.
    #[schema(example = 2.0684)]
    value: f64,
    /// The unit wanted, as it is written.
    #[schema(example = "bar")]
    unit: &'static str,
    /// The number in the unit of the SI.
    #[schema(example = 206842.7)]
    si: f64,
    /// The unit of the SI, as it is written.
    #[schema(example = "Pa")]
    si_unit: &'static str,
}

impl Calculate for ConvertInputs {
    type Answer = ConvertAnswer;

    const CARD: Card = Card {
        name: "units/convert",
        title: "A number in another unit",
        answers: "What is this in the unit I use? Pressures stay gauge or absolute, whichever they \
                  were; `atmosphere/gauge` turns one into the other.",
        equations: &[UNITS],
        blamed: &["value"],
        example: r#"{"value": 30, "from": "psi", "to": "bar"}"#,
    };

    fn calculate(&self) -> Result<Calculated<ConvertAnswer>, Refused> {
        let (number, si) = (self.value.value(), self.from.kind().si());
        if self.from.kind() != self.to.kind() {
            let what = format!(
                "{} found, which measures {}; a unit of {} is allowed",
                self.to.name(),
                self.to.kind().name(),
                self.from.kind().name()
            );
            return Err(Refused::fields(&["to"], what));
        }
        Ok(Calculated::new(ConvertAnswer {
            value: convert(number, self.from, self.to)?,
            unit: self.to.symbol(),
            si: convert(number, self.from, si)?,
            si_unit: si.symbol(),
        }))
    }
}

inputs! {
    /// A height, and what a weather report says.
    AtmosphereInputs => AtmosphereEcho {
        defaulted {
            /// Height above sea level.
            elevation_m: Elevation = 0.0 => elevation: ElevationValue,
        }
        optional {
            /// Air pressure of a weather report, which is reduced to sea level.
            weather_report_hpa: WeatherReport => weather_report: AbsolutePressureValue,
        }
    }
}

/// Air pressure and what follows from it.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct AtmosphereAnswer {
    /// Air pressure at that height: the mean, or by the weather report.
    air_pressure: AbsolutePressureValue,
    /// Temperature at which water boils there.
    boiling_point: TemperatureValue,
}

impl Calculate for AtmosphereInputs {
    type Answer = AtmosphereAnswer;

    const CARD: Card = Card {
        name: "atmosphere/pressure",
        title: "Air pressure at an elevation",
        answers: "What is the air pressure here, by elevation alone or with a weather report? A \
                  gauge counts from it and water boils by it.",
        equations: &[STANDARD_ATMOSPHERE, BOILING],
        blamed: &["weather_report_hpa", "elevation_m"],
        example: r#"{"elevation_m": 1600}"#,
    };

    fn calculate(&self) -> Result<Calculated<AtmosphereAnswer>, Refused> {
        let air = match self.weather_report_hpa {
            Some(report) => atmosphere::from_weather_report(report.into(), self.elevation_m())?,
            None => atmosphere::pressure_at(self.elevation_m())?,
        };
        Ok(Calculated::new(AtmosphereAnswer {
            air_pressure: Shown::of(air),
            boiling_point: Shown::of(water::boiling_point(air)?),
        }))
    }
}

inputs! {
    /// A site.
    BoilingInputs => BoilingEcho at site {}
}

/// Where water boils.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct BoilingAnswer {
    /// Temperature at which water boils.
    boiling_point: TemperatureValue,
}

impl Calculate for BoilingInputs {
    type Answer = BoilingAnswer;

    const CARD: Card = Card {
        name: "atmosphere/boiling-point",
        title: "Boiling point of water at a site",
        answers: "How hot does water get here before it boils?",
        equations: &[BOILING, STANDARD_ATMOSPHERE],
        blamed: &["barometer_hpa", "elevation_m"],
        example: r#"{"elevation_m": 1600}"#,
    };

    fn calculate(&self) -> Result<Calculated<BoilingAnswer>, Refused> {
        Ok(Calculated::new(BoilingAnswer {
            boiling_point: Shown::of(water::boiling_point(self.atmosphere()?)?),
        }))
    }
}

inputs! {
    /// What a gauge shows.
    GaugeInputs => GaugeEcho at site {
        required {
            /// Pressure the gauge shows.
            pressure_bar: RegulatorPressure => pressure: GaugePressureValue,
        }
        defaulted {
            /// What the gauge shows too much, as `calibration/gauge-offset` finds.
            offset_bar: GaugeOffset = 0.0 => offset: PressureDifferenceValue,
        }
    }
}

/// The pressure behind a gauge.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct GaugeAnswer {
    /// True pressure above the atmosphere.
    gauge: GaugePressureValue,
    /// True pressure counted from vacuum.
    absolute: AbsolutePressureValue,
}

impl Calculate for GaugeInputs {
    type Answer = GaugeAnswer;

    const CARD: Card = Card {
        name: "atmosphere/gauge",
        title: "The absolute pressure behind a gauge",
        answers: "What is the pressure counted from vacuum, with the gauge's own error taken off?",
        equations: &[STANDARD_ATMOSPHERE, UNITS],
        blamed: &["offset_bar", "pressure_bar"],
        example: r#"{"pressure_bar": 2.1, "offset_bar": 0.1, "elevation_m": 1600}"#,
    };

    fn calculate(&self) -> Result<Calculated<GaugeAnswer>, Refused> {
        let shown: model::GaugePressure = self.pressure_bar.into();
        let gauge = shown.corrected(self.offset_bar().into())?;
        let absolute = gauge.absolute(self.atmosphere()?)?;
        Ok(Calculated::new(GaugeAnswer {
            gauge: Shown::of(gauge),
            absolute: Shown::of(absolute),
        }))
    }
}
