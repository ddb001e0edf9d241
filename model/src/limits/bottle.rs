//! How hot a container may be filled.

use super::verdict::{Evidence, Limit, Verdict};
use crate::Temperature;

/// PET softens at 70 to 80 °C; stay well below and never fill it hot.
pub const PET_HOTTEST_FILL: Limit = Limit {
    what: "filling temperature of PET",
    value: 60.0,
    unit: "°C",
    source: "glass transition of PET about 70 to 80 °C",
    evidence: Evidence::FromMemory,
};

/// Stainless steel takes boiling water; mind the hands and the seals.
const STEEL_HOTTEST_FILL: Limit = Limit {
    what: "filling temperature of stainless steel",
    value: 100.0,
    unit: "°C",
    source: "water below its boiling point at one atmosphere",
    evidence: Evidence::FromMemory,
};

/// What a container is made of. Glass is left out: what it stands depends on
/// the jump in temperature, for which no source was found.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize, utoipa::ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Material {
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
/// use model::{Temperature, limits::{self, Material}};
///
/// assert!(limits::filling(Material::StainlessSteel, Temperature::of(92.0)).accepted);
/// assert!(!limits::filling(Material::Pet, Temperature::of(92.0)).accepted);
/// ```
#[must_use]
pub fn filling(material: Material, at: Temperature) -> Verdict {
    let limit = match material {
        Material::StainlessSteel => STEEL_HOTTEST_FILL,
        Material::Pet => PET_HOTTEST_FILL,
    };
    limit.judge(at.celsius())
}
