//! The document itself.

use scheduler::check::Fault;
use serde::Serialize;
use utoipa::ToSchema;

use super::Kind;

/// Why a request was refused (RFC 9457).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub(crate) struct ProblemDocument {
    /// Where this kind of problem is explained, relative to the service.
    #[serde(rename = "type")]
    #[schema(format = UriTemplate, example = "/v1/problems/invalid")]
    pub(crate) kind: String,
    /// A stable code for programs; `GET /v1/problems` lists them all.
    #[schema(example = "invalid")]
    pub(crate) code: String,
    /// What kind of problem this is, in a few words.
    #[schema(example = "Fields cannot be used")]
    pub(crate) title: String,
    /// The HTTP status.
    #[schema(minimum = 400, maximum = 599, example = 422)]
    pub(crate) status: u16,
    /// What happened this time, and what to do about it.
    #[schema(example = "days: 57 found; 1 to 56 days are allowed")]
    pub(crate) detail: String,
    /// The fields that are wrong; empty where the problem is not about fields.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(required = false)]
    pub(crate) errors: Vec<FieldError>,
}

/// A field that is wrong.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub(crate) struct FieldError {
    /// Path of the field in the request, or in the scenario that was to be planned.
    #[schema(example = "setup.pots[0].power_w")]
    pub(crate) field: String,
    /// What was found, and what is allowed.
    #[schema(example = "0 W is outside what heater power allows: 200 to 100000 W")]
    pub(crate) message: String,
}

impl ProblemDocument {
    pub(super) fn of(kind: Kind, detail: &str, faults: &[Fault]) -> Self {
        let code = kind.code();
        Self {
            kind: format!("/v1/problems/{code}"),
            code: code.to_owned(),
            title: kind.title().to_owned(),
            status: kind.status(),
            detail: detail.to_owned(),
            errors: faults
                .iter()
                .map(|fault| FieldError {
                    field: fault.field.clone(),
                    message: fault.what.clone(),
                })
                .collect(),
        }
    }
}
