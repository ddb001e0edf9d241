//! How hot a container may be filled.

use super::verdict::{Evidence, Limit, Verdict};
use crate::Temperature;

/// Jump in temperature that new bottles and glasses of soda-lime glass are
/// commonly specified for. Scratches from use lower it, and it says nothing
/// about pressure: glass is not to be carbonated in unless made for it.
pub const GLASS_JUMP: Limit = Limit {
    what: "jump in temperature of soda-lime glass",
    value: 42.0,
    unit: "K",
    source: "customary specification of glass containers, tested by ASTM C149",
    evidence: Evidence::FromMemory,
};

/// Whether a glass container at one temperature may be filled with a drink at
/// another. The jump counts, whichever is the warmer.
///
/// ```
/// use model::{Temperature, limits};
///
/// let (cold, room) = (Temperature::of(2.0), Temperature::of(22.0));
/// assert!(limits::glass_filling(room, cold).accepted);
/// assert!(!limits::glass_filling(room, Temperature::of(70.0)).accepted);
/// // A glass hot from the washer is worse than one from the shelf.
/// assert!(!limits::glass_filling(Temperature::of(60.0), cold).accepted);
/// ```
#[must_use]
pub fn glass_filling(glass: Temperature, drink: Temperature) -> Verdict {
    GLASS_JUMP.judge((drink - glass).kelvins().abs())
}

/// PET softens at 70 to 80 °C, and bottles blown in the usual way begin to lose
/// their shape at about 60 °C: stay well below. 49 °C are 120 °F.
pub const PET_HOTTEST_FILL: Limit = Limit {
    what: "filling temperature of PET",
    value: 49.0,
    unit: "°C",
    source: "120 °F in a packaging supplier's list of hot-fill temperatures of plastics (2007); \
             trade press on hot-fill bottles has usual ones lose their shape from about 60 °C",
    evidence: Evidence::LookedUp,
};

/// Stainless steel takes boiling water; mind the hands and the seals.
const STEEL_HOTTEST_FILL: Limit = Limit {
    what: "filling temperature of stainless steel",
    value: 100.0,
    unit: "°C",
    source: "water below its boiling point at one atmosphere",
    evidence: Evidence::FromMemory,
};

/// What a container is made of. What glass stands depends on the jump in
/// temperature, see [`glass_filling`]. See [`filling`] for an example.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize, utoipa::ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum VesselMaterial {
    /// A steel keg or pot.
    StainlessSteel,
    /// A plastic bottle or keg.
    Pet,
}

/// Whether a container may be filled at this temperature.
///
/// Mind that hot water sealed in contracts by 1.7 % from 60 to 4 °C and its
/// vapour collapses: put CO2 on before cooling, or the lid draws in air.
///
/// ```
/// use model::{Temperature, limits::{self, VesselMaterial}};
///
/// assert!(limits::filling(VesselMaterial::StainlessSteel, Temperature::of(92.0)).accepted);
/// assert!(!limits::filling(VesselMaterial::Pet, Temperature::of(92.0)).accepted);
/// ```
#[must_use]
pub fn filling(material: VesselMaterial, at: Temperature) -> Verdict {
    let limit = match material {
        VesselMaterial::StainlessSteel => STEEL_HOTTEST_FILL,
        VesselMaterial::Pet => PET_HOTTEST_FILL,
    };
    limit.judge(at.celsius())
}
