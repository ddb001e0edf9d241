//! The room in which the CO2 stands.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::quantities::CylinderRoomVolume;

/// The room in which a CO2 cylinder stands, and which its gas fills when it leaks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CylinderRoom {
    /// Its volume: length by width by height.
    pub volume_m3: CylinderRoomVolume,
    /// Whether something there sounds an alarm at too much CO2.
    #[schema(example = true)]
    pub co2_alarm: bool,
}
