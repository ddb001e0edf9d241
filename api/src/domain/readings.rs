//! Readings: what was measured on the floor, logged against work.

use std::fmt;

use chrono::{DateTime, FixedOffset};
use model::units::{self, Kind as Measure, Unit};
use scheduler::check::Fault;
use scheduler::plan::WorkId;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

use super::plans::PlanId;
use super::words::{Note, Subject, Who};

/// The most readings one report may hold.
pub(crate) const MOST_READINGS: usize = 100;

/// What is measured.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Serialize,
    Deserialize,
    ToSchema,
    strum::IntoStaticStr,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case", const_into_str)]
pub(crate) enum ReadingKind {
    /// Temperature of water, a keg or a room: -30 to 130 °C.
    Temperature,
    /// Gauge pressure: -1 to 20 bar.
    Pressure,
    /// Volume of water or drink: 0 to 10 m³.
    Volume,
    /// Weight of a keg, a cylinder, ice: 0 to 10 t.
    Weight,
    /// Total chlorine: 0 to 50 mg/L.
    TotalChlorine,
    /// Free chlorine: 0 to 50 mg/L.
    FreeChlorine,
    /// CO2 dissolved: 0 to 20 g/L.
    Carbonation,
    /// Oxygen dissolved: 0 to 50 mg/L.
    Oxygen,
    /// Sugar: 0 to 70 °Bx.
    Sugar,
}

impl ReadingKind {
    /// The unit in which its bounds are stated, and the bounds.
    fn bounds(self) -> (Unit, f64, f64) {
        match self {
            Self::Temperature => (Unit::C, -30.0, 130.0),
            Self::Pressure => (Unit::Bar, -1.0, 20.0),
            Self::Volume => (Unit::L, 0.0, 10_000.0),
            Self::Weight => (Unit::Kg, 0.0, 10_000.0),
            Self::TotalChlorine | Self::FreeChlorine | Self::Oxygen => (Unit::MgPerL, 0.0, 50.0),
            Self::Carbonation => (Unit::GPerL, 0.0, 20.0),
            Self::Sugar => (Unit::Brix, 0.0, 70.0),
        }
    }

    fn measures(self) -> Measure {
        self.bounds().0.kind()
    }
}

/// Names a reading; ids sort by the time of recording.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(transparent)]
#[schema(value_type = String, format = "uuid", example = "01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d")]
pub(crate) struct ReadingId(pub(crate) Uuid);

impl fmt::Display for ReadingId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// A reading as it is reported.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ReadingReport {
    /// What was measured.
    #[schema(inline)]
    pub(crate) kind: ReadingKind,
    /// The number the instrument showed.
    #[schema(example = 3.4)]
    pub(crate) value: f64,
    /// The unit of that number, one that measures this kind of thing, named as fields end:
    /// `c`, `f`, `bar` (gauge), `psi` (gauge), `l`, `us_gal`, `kg`, `lb`, `mg_per_l`, `g_per_l`.
    #[schema(value_type = String, example = "c")]
    pub(crate) unit: Unit,
    /// When it was measured (RFC 3339); the time of the report where nothing is said.
    #[serde(default)]
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-02T09:40:00+01:00")]
    #[serde(deserialize_with = "scheduler::scenario::instants::instant_if_any")]
    pub(crate) at: Option<DateTime<FixedOffset>>,
    /// Who measured it; who reports where nothing is said.
    #[serde(default)]
    pub(crate) by: Option<Who>,
    /// What it was measured on.
    #[serde(default)]
    pub(crate) subject: Option<Subject>,
    /// What else there is to say.
    #[serde(default)]
    pub(crate) note: Option<Note>,
}

/// A reading that was logged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub(crate) struct Reading {
    /// Its id.
    pub(crate) id: ReadingId,
    /// The plan of the work.
    pub(crate) plan: PlanId,
    /// The work item.
    pub(crate) item: WorkId,
    /// What was measured.
    #[schema(inline)]
    pub(crate) kind: ReadingKind,
    /// The number the instrument showed.
    #[schema(example = 3.4)]
    pub(crate) value: f64,
    /// The unit of that number, named as fields end.
    #[schema(value_type = String, example = "c")]
    pub(crate) unit: Unit,
    /// When it was measured (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-02T09:40:00+01:00")]
    pub(crate) at: DateTime<FixedOffset>,
    /// Who measured it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) by: Option<Who>,
    /// What it was measured on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) subject: Option<Subject>,
    /// What else was said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) note: Option<Note>,
}

impl Reading {
    /// Whether two readings say the same thing about the same thing.
    pub(crate) fn says_the_same(&self, other: &Self) -> bool {
        let same_value = (self.value - other.value).abs() <= f64::EPSILON * self.value.abs();
        self.plan == other.plan
            && self.item == other.item
            && self.kind == other.kind
            && self.unit == other.unit
            && same_value
            && self.at == other.at
            && self.subject == other.subject
    }
}

/// Refuses readings whose unit does not measure their kind, or whose value cannot be.
pub(crate) fn faults(readings: &[ReadingReport]) -> Vec<Fault> {
    let mut faults = Vec::new();
    if readings.len() > MOST_READINGS {
        faults.push(Fault {
            field: "readings".to_owned(),
            what: format!(
                "{} found; at most {MOST_READINGS} are allowed at once",
                readings.len()
            ),
        });
        return faults;
    }
    for (n, reading) in readings.iter().enumerate() {
        let (unit, least, most) = reading.kind.bounds();
        if reading.unit.kind() != reading.kind.measures() {
            faults.push(Fault {
                field: format!("readings[{n}].unit"),
                what: format!(
                    "{} found, which measures {}; a unit of {} is allowed, such as {}",
                    reading.unit.name(),
                    reading.unit.kind().name(),
                    reading.kind.measures().name(),
                    unit.name()
                ),
            });
            continue;
        }
        let found = units::converted(reading.value, reading.unit, unit);
        // A bound that was converted there and back may be a hair outside.
        let hair = 1e-9 * most;
        if !(found >= least - hair && found <= most + hair) {
            faults.push(Fault {
                field: format!("readings[{n}].value"),
                what: format!(
                    "{} {} found; {least} to {most} {} is allowed for {}",
                    reading.value,
                    reading.unit.symbol(),
                    unit.symbol(),
                    reading.kind.into_str()
                ),
            });
        }
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reading(kind: ReadingKind, value: f64, unit: Unit) -> ReadingReport {
        ReadingReport {
            kind,
            value,
            unit,
            at: None,
            by: None,
            subject: None,
            note: None,
        }
    }

    #[test]
    fn units_and_bounds_of_readings_are_held() {
        let good = [
            reading(ReadingKind::Temperature, 38.0, Unit::F),
            reading(ReadingKind::Pressure, 30.0, Unit::Psi),
            reading(ReadingKind::Volume, 10_000.0, Unit::L),
            reading(ReadingKind::Carbonation, 4.0, Unit::Volumes),
        ];
        assert_eq!(faults(&good), []);
        let bad = [
            reading(ReadingKind::Temperature, 3.0, Unit::Bar),
            reading(ReadingKind::Temperature, 400.0, Unit::F),
            reading(ReadingKind::Pressure, f64::NAN, Unit::Bar),
        ];
        let fields: Vec<String> = faults(&bad).into_iter().map(|f| f.field).collect();
        assert_eq!(
            fields,
            ["readings[0].unit", "readings[1].value", "readings[2].value"]
        );
    }
}
