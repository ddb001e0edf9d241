//! Air dissolved in water: how much, what heating leaves, and how it comes back.

use model::about::{AIR_IN_WATER, BOILING, REAERATION};
use model::air::{self, Standing};
use model::inputs::{Barometer, PotDepth, SurfaceRate, WaitHours, WaterAir, WaterTemperature};
use model::limits::STANDING_OPEN;
use model::{AirContent, Elevation, Fraction, TimeSpan, water};
use serde::Serialize;
use utoipa::ToSchema;

use super::calculation::{Calculate, Calculated, Card};
use super::inputs::inputs;
use super::minding;
use super::refused::Refused;
use super::series::{POINTS, instants};
use super::values::{
    AbsolutePressureValue, AirContentValue, ElevationValue, LengthValue, Shown,
    SurfaceTransferValue, TemperatureValue, TimeValue,
};

inputs! {
    /// Water under the open sky.
    SaturationInputs => SaturationEcho at site {
        required {
            /// Temperature of the water.
            temperature_c: WaterTemperature => temperature: TemperatureValue,
        }
    }
}

/// Air in the water.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct SaturationAnswer {
    /// All three gases together.
    total: AirContentValue,
    /// Nitrogen.
    nitrogen: AirContentValue,
    /// Oxygen, as an oxygen meter shows it.
    oxygen: AirContentValue,
    /// Argon.
    argon: AirContentValue,
}

impl Calculate for SaturationInputs {
    type Answer = SaturationAnswer;

    const CARD: Card = Card {
        name: "air/saturation",
        title: "Air in water open to the air",
        answers: "How much nitrogen, oxygen and argon does water hold at equilibrium, as from the \
                  tap? None at or above the boil.",
        equations: &[AIR_IN_WATER],
        blamed: &["temperature_c"],
        example: r#"{"temperature_c": 10}"#,
    };

    fn calculate(&self) -> Result<Calculated<SaturationAnswer>, Refused> {
        let gases = air::saturated_gases(self.temperature_c.into(), self.atmosphere()?)?;
        Ok(Calculated::new(SaturationAnswer {
            total: Shown::of(gases.total()?),
            nitrogen: Shown::of(gases.nitrogen),
            oxygen: Shown::of(gases.oxygen),
            argon: Shown::of(gases.argon),
        }))
    }
}

inputs! {
    /// Water heated in an open pot.
    AfterHeatingInputs => AfterHeatingEcho at site {
        required {
            /// Temperature it is heated to.
            to_c: WaterTemperature => to: TemperatureValue,
        }
        defaulted {
            /// Temperature at which it took up its air, as in the main.
            from_c: WaterTemperature = 10.0 => from: TemperatureValue,
        }
    }
}

/// What heating leaves.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct AfterHeatingAnswer {
    /// Air before.
    before: AirContentValue,
    /// Air left at equilibrium, the least there can be.
    left: AirContentValue,
    /// Share of the air that is removed, the most there can be.
    removed: Fraction,
    /// Temperature at which all of it leaves.
    boiling_point: TemperatureValue,
}

impl Calculate for AfterHeatingInputs {
    type Answer = AfterHeatingAnswer;

    const CARD: Card = Card {
        name: "air/after-heating",
        title: "Air that heating leaves",
        answers: "How much air is left in water heated to a temperature in an open pot? Equilibrium \
                  is the least: real removal needs stirring, bubbles or time.",
        equations: &[AIR_IN_WATER, BOILING],
        blamed: &["to_c", "from_c"],
        example: r#"{"to_c": 92, "from_c": 10}"#,
    };

    fn calculate(&self) -> Result<Calculated<AfterHeatingAnswer>, Refused> {
        let (from, to, site) = (self.from_c().into(), self.to_c.into(), self.atmosphere()?);
        let before = air::saturated(from, site)?;
        let left = air::after_heating(to, site)?;
        let kept = if left < before { left } else { before };
        let answer = AfterHeatingAnswer {
            before: Shown::of(before),
            left: Shown::of(kept),
            removed: air::removed(from, to, site)?,
            boiling_point: Shown::of(water::boiling_point(site)?),
        };
        Ok(Calculated::new(answer)
            .mind_all(minding::hot(to))
            .mind(STANDING_OPEN))
    }
}

inputs! {
    /// A removal wanted.
    RemovalInputs => RemovalEcho at site {
        required {
            /// Share of the air to be removed.
            removal: Fraction => removal: Fraction,
        }
        defaulted {
            /// Temperature at which the water took up its air, as in the main.
            from_c: WaterTemperature = 10.0 => from: TemperatureValue,
        }
    }
}

/// How hot it must get.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct RemovalAnswer {
    /// Temperature at which equilibrium removes that share.
    temperature: TemperatureValue,
    /// Air then left.
    left: AirContentValue,
    /// Temperature at which all of it leaves.
    boiling_point: TemperatureValue,
}

impl Calculate for RemovalInputs {
    type Answer = RemovalAnswer;

    const CARD: Card = Card {
        name: "air/temperature-for-removal",
        title: "Temperature that removes a share of the air",
        answers: "How hot must water get, here, to lose this share of its air at equilibrium?",
        equations: &[AIR_IN_WATER, BOILING],
        blamed: &["from_c"],
        example: r#"{"removal": 0.9, "from_c": 10}"#,
    };

    fn calculate(&self) -> Result<Calculated<RemovalAnswer>, Refused> {
        let site = self.atmosphere()?;
        let needed = air::temperature_for_removal(self.removal, self.from_c().into(), site)?;
        let answer = RemovalAnswer {
            temperature: Shown::of(needed),
            left: Shown::of(air::after_heating(needed, site)?),
            boiling_point: Shown::of(water::boiling_point(site)?),
        };
        Ok(Calculated::new(answer)
            .mind_all(minding::hot(needed))
            .mind(STANDING_OPEN))
    }
}

inputs! {
    /// Boiled water that stands open.
    ReaerationInputs => ReaerationEcho at site {
        required {
            /// Temperature of the water.
            temperature_c: WaterTemperature => temperature: TemperatureValue,
            /// Air in it at the start.
            start_mg_per_l: WaterAir => start: AirContentValue,
            /// How long it stands.
            time_h: WaitHours => time: TimeValue,
        }
        defaulted {
            /// Volume over surface.
            depth_m: PotDepth = 0.3 => depth: LengthValue,
            /// How fast gas crosses the surface; the default is for open, still water.
            transfer_m_per_s: SurfaceRate = 0.00002 => transfer: SurfaceTransferValue,
        }
        optional {
            /// Air that is still allowed; then the time to it is given.
            limit_mg_per_l: WaterAir => limit: AirContentValue,
        }
    }
}

/// Air taken up again.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct ReaerationAnswer {
    /// Air in the water at the end.
    air: AirContentValue,
    /// Air it tends to.
    saturated: AirContentValue,
    /// Time in which the gap to saturation falls to 37 %.
    time_constant: TimeValue,
    /// Time until the limit is reached; null where none is given.
    time_to_limit: Option<TimeValue>,
    /// Air at evenly spaced times, from the start to the end.
    curve: Vec<AirPoint>,
}

/// Air at a time.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct AirPoint {
    /// Time since the start.
    time: TimeValue,
    /// Air in the water.
    air: AirContentValue,
}

impl Calculate for ReaerationInputs {
    type Answer = ReaerationAnswer;

    const CARD: Card = Card {
        name: "air/reaeration",
        title: "Air that standing water takes up again",
        answers: "How much air does boiled water take up while it stands open, and how long may it \
                  stand?",
        equations: &[REAERATION, AIR_IN_WATER],
        blamed: &["limit_mg_per_l", "temperature_c"],
        example: r#"{"temperature_c": 20, "start_mg_per_l": 3.9, "time_h": 4, "limit_mg_per_l": 6}"#,
    };

    fn calculate(&self) -> Result<Calculated<ReaerationAnswer>, Refused> {
        let standing = Standing {
            temperature: self.temperature_c.into(),
            atmosphere: self.atmosphere()?,
            depth: self.depth_m().into(),
            transfer: self.transfer_m_per_s().into(),
        };
        let (start, time): (AirContent, TimeSpan) =
            (self.start_mg_per_l.into(), self.time_h.into());
        let point = |time| -> Result<AirPoint, Refused> {
            Ok(AirPoint {
                time: Shown::of(time),
                air: Shown::of(air::reaerated(&standing, start, time)?),
            })
        };
        let limit = self.limit_mg_per_l.map(AirContent::from);
        let to_limit = limit.map(|limit| air::time_to_reaerate(&standing, start, limit));
        let answer = ReaerationAnswer {
            air: Shown::of(air::reaerated(&standing, start, time)?),
            saturated: Shown::of(air::saturated(standing.temperature, standing.atmosphere)?),
            time_constant: Shown::of(standing.time_constant()?),
            time_to_limit: Shown::of(to_limit.transpose()?),
            curve: instants(time, POINTS)?
                .map(point)
                .collect::<Result<_, _>>()?,
        };
        Ok(Calculated::new(answer).mind(STANDING_OPEN))
    }
}
