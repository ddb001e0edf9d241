//! Pressure in kegs, hot filling and freezing.

use model::about::{CO2_IN_WATER, FREEZING_POINT, LIMITS, SEALED_KEG};
use model::inputs::{
    Barometer, DrinkTemperature, LiquidTemperature, RegulatorPressure, StoreTemperature,
    VesselPressure, VesselRating, VesselVolume,
};
use model::limits::{self, HOT_SEALED, SealedKeg, UNDER_PRESSURE, VesselMaterial, WARM_KEG};
use model::{Elevation, SugarContent, Temperature};
use serde::Serialize;
use utoipa::ToSchema;

use crate::app::calculations::calculation::{Calculate, Calculated, Card};
use crate::app::calculations::inputs::inputs;
use crate::app::calculations::minding;
use crate::app::calculations::notes::VerdictNote;
use crate::app::calculations::refused::Refused;
use crate::app::calculations::values::{
    AbsolutePressureValue, ElevationValue, GaugePressureValue, Shown, SugarValue, TemperatureValue,
    VolumeValue,
};

inputs! {
    /// A vessel and the pressure expected in it.
    VesselInputs => VesselEcho {
        required {
            /// Rating stamped on the vessel.
            rating_bar: VesselRating => rating: GaugePressureValue,
            /// Pressure expected.
            pressure_bar: VesselPressure => pressure: GaugePressureValue,
        }
    }
}

/// A verdict with its margin.
#[derive(Debug, Serialize, ToSchema)]
pub(in crate::app::calculations) struct VesselAnswer {
    /// Whether 80 % of the rating is kept.
    verdict: VerdictNote,
}

impl Calculate for VesselInputs {
    type Answer = VesselAnswer;

    const CARD: Card = Card {
        name: "limits/vessel",
        title: "Pressure in a vessel against its stamp",
        answers: "May this vessel hold this pressure? Against 80 % of the rating stamped on it.",
        equations: &[LIMITS],
        blamed: &["pressure_bar"],
        example: r#"{"rating_bar": 9, "pressure_bar": 6.1}"#,
    };

    fn calculate(&self) -> Result<Calculated<VesselAnswer>, Refused> {
        let verdict = limits::vessel(self.rating_bar.into(), self.pressure_bar.into());
        let answer = VesselAnswer {
            verdict: verdict.into(),
        };
        Ok(Calculated::new(answer)
            .mind_if(!verdict.accepted, verdict)
            .mind(UNDER_PRESSURE))
    }
}

inputs! {
    /// A keg carbonated cold and sealed. Where nothing is said it is a full 19 L steel keg.
    WarmingInputs => WarmingEcho at site {
        required {
            /// Temperature it was carbonated at.
            temperature_c: DrinkTemperature => temperature: TemperatureValue,
            /// Pressure it was held at.
            pressure_bar: RegulatorPressure => pressure: GaugePressureValue,
            /// Temperature it may reach.
            warm_c: DrinkTemperature => warm: TemperatureValue,
            /// Rating stamped on it.
            rating_bar: VesselRating => rating: GaugePressureValue,
        }
        defaulted {
            /// What the keg holds to the brim.
            brim_l: VesselVolume = 19.5 => brim: VolumeValue,
            /// Liquid in it.
            liquid_l: VesselVolume = 18.5 => liquid: VolumeValue,
            /// Sugar in the drink.
            sugar_brix: SugarContent = 0.0 => sugar: SugarValue,
        }
    }
}

/// A keg that has warmed.
#[derive(Debug, Serialize, ToSchema)]
pub(in crate::app::calculations) struct WarmingAnswer {
    /// Pressure it reaches.
    pressure: GaugePressureValue,
    /// Whether that keeps 80 % of the rating.
    verdict: VerdictNote,
}

impl Calculate for WarmingInputs {
    type Answer = WarmingAnswer;

    const CARD: Card = Card {
        name: "limits/sealed-keg-warming",
        title: "Pressure of a sealed keg that warms",
        answers: "Which pressure does a sealed keg reach when it is left to warm, and does its \
                  rating allow it?",
        equations: &[SEALED_KEG, CO2_IN_WATER, LIMITS],
        blamed: &["warm_c", "pressure_bar", "liquid_l"],
        example: r#"{"temperature_c": 2, "pressure_bar": 3, "warm_c": 30, "rating_bar": 9}"#,
    };

    fn calculate(&self) -> Result<Calculated<WarmingAnswer>, Refused> {
        let keg = SealedKeg {
            brim: self.brim_l().into(),
            liquid: self.liquid_l().into(),
            temperature: self.temperature_c.into(),
            held: self.pressure_bar.into(),
            sugar: self.sugar_brix(),
            atmosphere: self.atmosphere()?,
        };
        let reached = limits::warm_pressure(&keg, self.warm_c.into())?;
        let verdict = limits::vessel(self.rating_bar.into(), reached);
        let answer = WarmingAnswer {
            pressure: Shown::of(reached),
            verdict: verdict.into(),
        };
        Ok(Calculated::new(answer)
            .mind_if(!verdict.accepted, verdict)
            .mind(WARM_KEG))
    }
}

inputs! {
    /// A container to be filled.
    FillInputs => FillEcho {
        required {
            /// Temperature of what is filled in.
            temperature_c: LiquidTemperature => temperature: TemperatureValue,
        }
        choices {
            /// What the container is made of.
            material: VesselMaterial,
        }
    }
}

/// A verdict on hot filling.
#[derive(Debug, Serialize, ToSchema)]
pub(in crate::app::calculations) struct FillAnswer {
    /// Whether the container takes it.
    verdict: VerdictNote,
}

impl Calculate for FillInputs {
    type Answer = FillAnswer;

    const CARD: Card = Card {
        name: "limits/fill-temperature",
        title: "How hot a container may be filled",
        answers: "May water of this temperature be filled into a container of this material?",
        equations: &[LIMITS],
        blamed: &["temperature_c"],
        example: r#"{"material": "pet", "temperature_c": 92}"#,
    };

    fn calculate(&self) -> Result<Calculated<FillAnswer>, Refused> {
        let at = self.temperature_c.into();
        let verdict = limits::filling(self.material, at);
        let hot = minding::hot(at);
        let answer = FillAnswer {
            verdict: verdict.into(),
        };
        Ok(Calculated::new(answer)
            .mind_if(!verdict.accepted, verdict)
            .mind_if(!hot.is_empty(), HOT_SEALED)
            .mind_all(hot))
    }
}

inputs! {
    /// A drink in cold air.
    FreezingInputs => FreezingEcho {
        required {
            /// Temperature of the air.
            air_c: StoreTemperature => air: TemperatureValue,
        }
        defaulted {
            /// Sugar in the drink.
            sugar_brix: SugarContent = 0.0 => sugar: SugarValue,
        }
    }
}

/// A verdict on freezing.
#[derive(Debug, Serialize, ToSchema)]
pub(in crate::app::calculations) struct FreezingAnswer {
    /// Temperature at which the drink begins to freeze.
    freezing_point: TemperatureValue,
    /// How far the air is from it; the margin is in K.
    verdict: VerdictNote,
}

impl Calculate for FreezingInputs {
    type Answer = FreezingAnswer;

    const CARD: Card = Card {
        name: "limits/freezing",
        title: "Whether a drink freezes in a store",
        answers: "Would this drink freeze if it were left long enough in air this cold?",
        equations: &[FREEZING_POINT, LIMITS],
        blamed: &["air_c"],
        example: r#"{"air_c": 1, "sugar_brix": 10}"#,
    };

    fn calculate(&self) -> Result<Calculated<FreezingAnswer>, Refused> {
        let (air, sugar): (Temperature, _) = (self.air_c.into(), self.sugar_brix());
        let verdict = limits::freezing(air, sugar)?;
        let answer = FreezingAnswer {
            freezing_point: Shown::of(limits::freezing_point(sugar)?),
            verdict: verdict.into(),
        };
        Ok(Calculated::new(answer).mind_if(!verdict.accepted, verdict))
    }
}

inputs! {
    /// A glass container to be filled.
    GlassFillInputs => GlassFillEcho {
        required {
            /// Temperature of the glass.
            glass_c: LiquidTemperature => glass: TemperatureValue,
            /// Temperature of what is filled in.
            drink_c: LiquidTemperature => drink: TemperatureValue,
        }
    }
}

/// A verdict on a jump in temperature.
#[derive(Debug, Serialize, ToSchema)]
pub(in crate::app::calculations) struct GlassFillAnswer {
    /// Whether the glass takes the jump; the margin is in K.
    verdict: VerdictNote,
}

impl Calculate for GlassFillInputs {
    type Answer = GlassFillAnswer;

    const CARD: Card = Card {
        name: "limits/glass-filling",
        title: "Whether glass takes a jump in temperature",
        answers: "May a glass at one temperature be filled with a drink at another? It says nothing \
                  about pressure: glass is not to be carbonated in unless made for it.",
        equations: &[LIMITS],
        blamed: &["glass_c", "drink_c"],
        example: r#"{"glass_c": 22, "drink_c": 2}"#,
    };

    fn calculate(&self) -> Result<Calculated<GlassFillAnswer>, Refused> {
        let drink = self.drink_c.into();
        let verdict = limits::glass_filling(self.glass_c.into(), drink);
        let answer = GlassFillAnswer {
            verdict: verdict.into(),
        };
        Ok(Calculated::new(answer)
            .mind_if(!verdict.accepted, verdict)
            .mind_all(minding::hot(drink)))
    }
}
