//! CO2 let into a room.

use model::about::{LIMITS, ROOM_AIR};
use model::inputs::{GasRelease, RoomVolume};
use model::limits::{self, GAS_RELEASE};
use serde::Serialize;
use utoipa::ToSchema;

use crate::app::calculations::calculation::{Calculate, Calculated, Card};
use crate::app::calculations::inputs::inputs;
use crate::app::calculations::notes::VerdictNote;
use crate::app::calculations::refused::Refused;
use crate::app::calculations::values::{MassValue, RoomAirValue, Shown, VolumeValue};

inputs! {
    /// A release into an unventilated room.
    RoomInputs => RoomEcho {
        required {
            /// CO2 that is let out.
            release_kg: GasRelease => release: MassValue,
            /// Air of the room.
            room_m3: RoomVolume => room: VolumeValue,
        }
    }
}

/// The air of the room.
#[derive(Debug, Serialize, ToSchema)]
pub(in crate::app::calculations) struct RoomAnswer {
    /// Volume of the gas at 20 °C and one atmosphere.
    gas: VolumeValue,
    /// CO2 in the air once it has mixed.
    room_air: RoomAirValue,
    /// Against the mean of eight hours, the mean of fifteen minutes, and immediate danger.
    verdicts: Vec<VerdictNote>,
}

impl Calculate for RoomInputs {
    type Answer = RoomAnswer;

    const CARD: Card = Card {
        name: "limits/room-co2",
        title: "CO2 in a room after a release",
        answers: "How much CO2 is in the air of a closed room after a leak or purges, and is it \
                  below the exposure limits? Ventilation is not counted.",
        equations: &[ROOM_AIR, LIMITS],
        blamed: &["release_kg", "room_m3"],
        example: r#"{"release_kg": 9.07, "room_m3": 50}"#,
    };

    fn calculate(&self) -> Result<Calculated<RoomAnswer>, Refused> {
        let (mass, room) = (self.release_kg.into(), self.room_m3.into());
        let verdicts = limits::release(mass, room)?;
        let answer = RoomAnswer {
            gas: Shown::of(limits::released(mass)?),
            room_air: Shown::of(limits::room_after_release(mass, room)?),
            verdicts: verdicts.into_iter().map(VerdictNote::from).collect(),
        };
        let broken = verdicts.into_iter().filter(|verdict| !verdict.accepted);
        Ok(Calculated::new(answer)
            .mind_all(broken.map(Into::into))
            .mind(GAS_RELEASE))
    }
}
