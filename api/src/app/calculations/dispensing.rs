//! The way from keg to tap: pressure, line and flow.

use model::about::DISPENSING;
use model::dispensing::{self, Drink, Line, PressureUse};
use model::inputs::{
    DrinkTemperature, FittingLoss, LineBore, LineLength, LineLift, LineRoughness, Pour, PourFlow,
    RegulatorPressure,
};
use model::{Factor, Length, PressureDifference, SugarContent, TimeSpan};
use serde::Serialize;
use utoipa::ToSchema;

use super::calculation::{Calculate, Calculated, Card};
use super::inputs::inputs;
use super::minding;
use super::refused::Refused;
use super::values::{
    GaugePressureValue, LengthValue, LiftValue, PressureDifferenceValue, RoughnessValue, Shown,
    SugarValue, TemperatureValue, TimeValue, VolumeValue, WaterFlowValue,
};

/// Where the pressure goes on the way to the glass.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct PressureUseAnswer {
    /// To lift the drink; negative where it falls.
    lift: PressureDifferenceValue,
    /// Friction in the line.
    friction: PressureDifferenceValue,
    /// Couplings, bends and the tap.
    fittings: PressureDifferenceValue,
    /// The speed it leaves with.
    kinetic: PressureDifferenceValue,
    /// Reynolds number.
    #[schema(minimum = 0, example = 5600)]
    reynolds: f64,
    /// How it flows.
    regime: FlowRegime,
}

/// How a drink flows through a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(super) enum FlowRegime {
    /// In layers; below a Reynolds number of 2000.
    Laminar,
    /// Now one, now the other: the friction may be ±30 % of what is answered.
    InBetween,
    /// In eddies; above a Reynolds number of 4000.
    Turbulent,
}

impl PressureUseAnswer {
    fn of(used: PressureUse) -> Result<Self, Refused> {
        let bar = |value: f64| -> Result<PressureDifferenceValue, Refused> {
            Ok(Shown::of(
                PressureDifference::new(value).map_err(model::Error::from)?,
            ))
        };
        Ok(Self {
            lift: bar(used.lift)?,
            friction: bar(used.friction)?,
            fittings: bar(used.fittings)?,
            kinetic: bar(used.kinetic)?,
            reynolds: used.reynolds,
            regime: match used.reynolds {
                re if re < 2000.0 => FlowRegime::Laminar,
                re if re < 4000.0 => FlowRegime::InBetween,
                _ => FlowRegime::Turbulent,
            },
        })
    }
}

inputs! {
    /// A keg under pressure and its line.
    LineFlowInputs => LineFlowEcho {
        required {
            /// Serving pressure.
            pressure_bar: RegulatorPressure => pressure: GaugePressureValue,
            /// Inner diameter of the line.
            bore_mm: LineBore => bore: LengthValue,
            /// Length of the line.
            length_m: LineLength => length: LengthValue,
        }
        defaulted {
            /// How much higher the tap is than the drink in the keg.
            lift_m: LineLift = 0.6 => lift: LiftValue,
            /// Temperature of the drink.
            drink_c: DrinkTemperature = 4.0 => drink_temperature: TemperatureValue,
            /// Sugar in the drink.
            sugar_brix: SugarContent = 0.0 => sugar: SugarValue,
            /// Roughness of the line's wall; plastic and drawn tubing where nothing is said (Moody
            /// 1944, from memory).
            roughness_mm: LineRoughness = 0.0015 => roughness: RoughnessValue,
            /// Loss of couplings, bends and the open tap over the kinetic energy in the line,
            /// together (common practice, no source).
            fittings: FittingLoss = 2.0 => fitting_loss: Factor,
            /// Drink in one glass, for the time to fill it.
            serving_l: Pour = 0.25 => serving: VolumeValue,
        }
    }
}

/// What flows.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct LineFlowAnswer {
    /// Drink that leaves the tap; none where the pressure does not lift it.
    flow: WaterFlowValue,
    /// Time to fill a glass; nothing where nothing flows.
    fills_in: Option<TimeValue>,
    /// Where the pressure goes.
    used: PressureUseAnswer,
}

impl Calculate for LineFlowInputs {
    type Answer = LineFlowAnswer;

    const CARD: Card = Card {
        name: "dispensing/flow",
        title: "How fast a tap pours",
        answers: "How many litres a minute leave the tap at a pressure, through a line, up to the tap? \
                  Gas that breaks out on the way slows it, and is not in here: no physics settles it.",
        equations: &[DISPENSING],
        blamed: &["pressure_bar", "bore_mm", "length_m", "lift_m"],
        example: r#"{"pressure_bar": 1.8, "bore_mm": 4.8, "length_m": 8, "lift_m": 0.6}"#,
    };

    fn calculate(&self) -> Result<Calculated<LineFlowAnswer>, Refused> {
        let line = Line {
            bore: self.bore_mm.into(),
            length: self.length_m.into(),
            lift: self.lift_m().into(),
            roughness: self.roughness_mm().into(),
            fittings: self.fittings().into(),
        };
        let drink = Drink {
            temperature: self.drink_c().into(),
            sugar: self.sugar_brix(),
        };
        let pressure = self.pressure_bar.into();
        let (flow, used) = dispensing::flow(&line, &drink, pressure)?;
        let minutes = self.serving_l().value() / flow.litres_per_minute();
        let fills_in = TimeSpan::from_minutes(minutes).ok();
        let answer = LineFlowAnswer {
            flow: Shown::of(flow),
            fills_in: fills_in.map(Shown::of),
            used: PressureUseAnswer::of(used)?,
        };
        Ok(Calculated::new(answer).mind_all(minding::pressure(None, pressure)))
    }
}

inputs! {
    /// A wanted flow and a line.
    LinePressureInputs => LinePressureEcho {
        required {
            /// Wanted flow.
            flow_l_per_min: PourFlow => flow: WaterFlowValue,
            /// Inner diameter of the line.
            bore_mm: LineBore => bore: LengthValue,
            /// Length of the line.
            length_m: LineLength => length: LengthValue,
        }
        defaulted {
            /// How much higher the tap is than the drink in the keg.
            lift_m: LineLift = 0.6 => lift: LiftValue,
            /// Temperature of the drink.
            drink_c: DrinkTemperature = 4.0 => drink_temperature: TemperatureValue,
            /// Sugar in the drink.
            sugar_brix: SugarContent = 0.0 => sugar: SugarValue,
            /// Roughness of the line's wall.
            roughness_mm: LineRoughness = 0.0015 => roughness: RoughnessValue,
            /// Loss of couplings, bends and the open tap over the kinetic energy in the line,
            /// together (common practice, no source).
            fittings: FittingLoss = 2.0 => fitting_loss: Factor,
        }
    }
}

/// What pressure a flow takes.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct LinePressureAnswer {
    /// What the keg's gauge has to show.
    pressure: GaugePressureValue,
    /// Where it goes.
    used: PressureUseAnswer,
}

impl Calculate for LinePressureInputs {
    type Answer = LinePressureAnswer;

    const CARD: Card = Card {
        name: "dispensing/pressure",
        title: "Pressure that a pour takes",
        answers: "What does the keg's gauge have to show for a flow through a line? A keg kept at less \
                  than its CO2 needs goes flat, however well it pours: compare with the pressure that \
                  holds its CO2.",
        equations: &[DISPENSING],
        blamed: &["flow_l_per_min", "bore_mm", "length_m", "lift_m"],
        example: r#"{"flow_l_per_min": 2, "bore_mm": 4.8, "length_m": 8, "lift_m": 0.6}"#,
    };

    fn calculate(&self) -> Result<Calculated<LinePressureAnswer>, Refused> {
        let line = Line {
            bore: self.bore_mm.into(),
            length: self.length_m.into(),
            lift: self.lift_m().into(),
            roughness: self.roughness_mm().into(),
            fittings: self.fittings().into(),
        };
        let drink = Drink {
            temperature: self.drink_c().into(),
            sugar: self.sugar_brix(),
        };
        let (pressure, used) = dispensing::needed(&line, &drink, self.flow_l_per_min.into())?;
        let answer = LinePressureAnswer {
            pressure: Shown::of(pressure),
            used: PressureUseAnswer::of(used)?,
        };
        Ok(Calculated::new(answer).mind_all(minding::pressure(None, pressure)))
    }
}

inputs! {
    /// A serving pressure and a wanted flow.
    LineLengthInputs => LineLengthEcho {
        required {
            /// Serving pressure: the one that holds the drink's CO2.
            pressure_bar: RegulatorPressure => pressure: GaugePressureValue,
            /// Wanted flow.
            flow_l_per_min: PourFlow => flow: WaterFlowValue,
            /// Inner diameter of the line.
            bore_mm: LineBore => bore: LengthValue,
        }
        defaulted {
            /// How much higher the tap is than the drink in the keg.
            lift_m: LineLift = 0.6 => lift: LiftValue,
            /// Temperature of the drink.
            drink_c: DrinkTemperature = 4.0 => drink_temperature: TemperatureValue,
            /// Sugar in the drink.
            sugar_brix: SugarContent = 0.0 => sugar: SugarValue,
            /// Roughness of the line's wall.
            roughness_mm: LineRoughness = 0.0015 => roughness: RoughnessValue,
            /// Loss of couplings, bends and the open tap over the kinetic energy in the line,
            /// together (common practice, no source).
            fittings: FittingLoss = 2.0 => fitting_loss: Factor,
        }
    }
}

/// A line that balances.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct LineLengthAnswer {
    /// Length at which the pressure pours at the wanted rate.
    length: LengthValue,
    /// Where the pressure goes.
    used: PressureUseAnswer,
}

impl Calculate for LineLengthInputs {
    type Answer = LineLengthAnswer;

    const CARD: Card = Card {
        name: "dispensing/line-length",
        title: "Length of line that balances a pressure",
        answers: "How long must a line be for a keg at its holding pressure to pour at a wanted rate?",
        equations: &[DISPENSING],
        blamed: &["pressure_bar", "flow_l_per_min", "bore_mm", "lift_m"],
        example: r#"{"pressure_bar": 1.8, "flow_l_per_min": 2, "bore_mm": 4.8, "lift_m": 0.6}"#,
    };

    fn calculate(&self) -> Result<Calculated<LineLengthAnswer>, Refused> {
        let line = Line {
            bore: self.bore_mm.into(),
            length: Length::of(1.0),
            lift: self.lift_m().into(),
            roughness: self.roughness_mm().into(),
            fittings: self.fittings().into(),
        };
        let drink = Drink {
            temperature: self.drink_c().into(),
            sugar: self.sugar_brix(),
        };
        let pressure = self.pressure_bar.into();
        let flow = self.flow_l_per_min.into();
        let (length, used) = dispensing::balanced_length(&line, &drink, pressure, flow)?;
        let answer = LineLengthAnswer {
            length: Shown::of(length),
            used: PressureUseAnswer::of(used)?,
        };
        Ok(Calculated::new(answer).mind_all(minding::pressure(None, pressure)))
    }
}
