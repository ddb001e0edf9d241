//! What a draft assumes where nobody said anything.

use serde::{Deserialize, Serialize};
use serde_json::Value;
use utoipa::ToSchema;

use crate::scenario::Scenario;

/// Where a value comes from that nobody told and nobody measured.
pub const COMMON: &str = "common practice, no source";

/// A value of a draft that nobody told.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Assumption {
    /// Path of the field, such as `setup.pots[0].efficiency`; it stands for all that is below it.
    #[schema(example = "setup.pots[0].efficiency")]
    pub field: String,
    /// What is there.
    pub value: Value,
    /// Between what it usually lies.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = "0.75 to 0.95")]
    pub range: Option<String>,
    /// Where it comes from.
    #[schema(example = "common practice, no source")]
    pub source: String,
    /// What it means here.
    #[schema(example = "an element in the water, under a lid")]
    pub why: String,
}

impl Assumption {
    /// Whether a document still holds what was assumed. What is not there is null.
    ///
    /// ```
    /// let mut scenario = serde_json::json!({ "setup": { "pots": [{ "efficiency": 0.85 }] } });
    /// let one: scheduler::draft::Assumption = serde_json::from_value(serde_json::json!({
    ///     "field": "setup.pots[0].efficiency", "value": 0.85,
    ///     "source": "common practice, no source", "why": "an element in the water",
    /// }))?;
    /// assert!(one.stands_in(&scenario));
    /// scenario["setup"]["pots"][0]["efficiency"] = 0.9.into();
    /// assert!(!one.stands_in(&scenario));
    /// # Ok::<(), serde_json::Error>(())
    /// ```
    #[must_use]
    pub fn stands_in(&self, document: &Value) -> bool {
        at(document, &self.field).unwrap_or(&Value::Null) == &self.value
    }

    /// Its field as a JSON pointer (RFC 6901).
    ///
    /// ```
    /// let one: scheduler::draft::Assumption = serde_json::from_value(serde_json::json!({
    ///     "field": "setup.pots[0].efficiency", "value": 0.85,
    ///     "source": "common practice, no source", "why": "an element in the water",
    /// }))?;
    /// assert_eq!(one.pointer(), "/setup/pots/0/efficiency");
    /// # Ok::<(), serde_json::Error>(())
    /// ```
    #[must_use]
    pub fn pointer(&self) -> String {
        pointer(&self.field)
    }
}

/// What a document holds at a path, such as `setup.pots[0].efficiency`.
pub(super) fn at<'a>(document: &'a Value, path: &str) -> Option<&'a Value> {
    document.pointer(&pointer(path))
}

/// A path, such as `setup.pots[0].efficiency`, as a JSON pointer.
fn pointer(path: &str) -> String {
    format!("/{}", path.replace(['[', '.'], "/").replace(']', ""))
}

/// Collects what is assumed; the values are read from the scenario in the end.
#[derive(Debug, Default)]
pub(super) struct Notes(Vec<Assumption>);

impl Notes {
    /// Common practice, and between what it usually lies.
    pub(super) fn usual(&mut self, field: impl Into<String>, range: &str, why: &str) {
        self.from(COMMON, (field.into(), range), why);
    }

    /// The same with a source.
    pub(super) fn from(&mut self, source: &str, (field, range): (String, &str), why: &str) {
        self.0.push(Assumption {
            field,
            value: Value::Null,
            range: Some(range.to_owned()).filter(|range| !range.is_empty()),
            source: source.to_owned(),
            why: why.to_owned(),
        });
    }

    /// All of them with their values.
    pub(super) fn read(self, scenario: &Scenario) -> Vec<Assumption> {
        let document = serde_json::to_value(scenario).unwrap_or_default();
        let notes = self.0.into_iter();
        notes.flat_map(|one| by_field(one, &document)).collect()
    }
}

/// An assumption for each field of what it is about, so that changing one leaves the others assumed.
fn by_field(one: Assumption, document: &Value) -> Vec<Assumption> {
    match at(document, &one.field) {
        Some(Value::Object(fields)) => fields
            .iter()
            .map(|(name, value)| Assumption {
                field: format!("{}.{name}", one.field),
                value: value.clone(),
                ..one.clone()
            })
            .collect(),
        found => vec![Assumption {
            value: found.cloned().unwrap_or_default(),
            ..one
        }],
    }
}
