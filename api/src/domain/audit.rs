//! The audit trail: who changed what, and when.

use chrono::{DateTime, Utc};
use scheduler::scenario::SiteId;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::access::{Actor, ActorKind, PersonId, PersonView};

/// A change that was made, a sign-in, or something that was refused.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct AuditEntry {
    /// Its place in the trail.
    #[schema(minimum = 1, example = 12)]
    pub(crate) seq: i64,
    /// When it was made (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T08:00:00Z")]
    pub(crate) at: DateTime<Utc>,
    /// Who made it.
    pub(crate) who: AuditActor,
    /// What was done: the name of the operation in the contract.
    #[schema(example = "replace_setup")]
    pub(crate) operation: String,
    /// The HTTP method.
    #[schema(example = "PUT")]
    pub(crate) method: String,
    /// What it was done to.
    #[schema(example = "/v1/sites/harbour-bar/setup")]
    pub(crate) path: String,
    /// The site, where it was about one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, example = "harbour-bar")]
    pub(crate) site: Option<SiteId>,
    /// The id of the request, as it stands in the log and in X-Request-Id.
    #[schema(example = "01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d")]
    pub(crate) request_id: String,
    /// What became of it.
    pub(crate) outcome: AuditOutcome,
    /// Why it was refused: the code of the problem it was answered with.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "bad_sign_in")]
    pub(crate) why: Option<String>,
    /// How often it happened: refusals that are alike are counted together, a minute at a time.
    #[schema(minimum = 1, example = 1)]
    pub(crate) times: i64,
}

/// What became of a request.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum AuditOutcome {
    /// It was done.
    Done,
    /// It was refused, and nothing was changed.
    Refused,
}

/// Something to be noted in the trail beside changes.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Noted {
    pub(crate) who: AuditActor,
    pub(crate) operation: String,
    pub(crate) method: String,
    pub(crate) path: String,
    pub(crate) site: Option<SiteId>,
    pub(crate) request_id: String,
    /// Why it was refused; nothing if it was done.
    pub(crate) why: Option<&'static str>,
    pub(crate) times: i64,
}

/// A request as the trail names it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct RequestLine {
    pub(crate) method: String,
    pub(crate) path: String,
    pub(crate) id: String,
}

/// The longest path that is noted of something refused, in characters.
const LONGEST_PATH: usize = 200;

impl Noted {
    /// A request as it is noted: what somebody asked for, and why it was refused if it was.
    pub(crate) fn new(who: AuditActor, operation: &str, why: Option<&'static str>) -> Self {
        Self {
            who,
            operation: operation.to_owned(),
            method: String::new(),
            path: String::new(),
            site: None,
            request_id: String::new(),
            why,
            times: 1,
        }
    }

    /// Something that was refused to somebody who is not known.
    pub(crate) fn refused_to_a_stranger(address: &str, operation: &str, why: &'static str) -> Self {
        let who = AuditActor {
            kind: ActorKind::Stranger,
            id: address.to_owned(),
            name: "somebody unknown".to_owned(),
        };
        Self::new(who, operation, Some(why))
    }

    /// The same, with where and as what it was asked.
    pub(crate) fn at(mut self, line: &RequestLine) -> Self {
        self.method.clone_from(&line.method);
        self.path = line.path.chars().take(LONGEST_PATH).collect();
        self.request_id.clone_from(&line.id);
        self
    }

    /// The same, as something that was done to a person.
    pub(crate) fn about(mut self, person: PersonId) -> Self {
        self.path = format!("/v1/people/{person}");
        self
    }

    /// What makes two of them alike.
    pub(crate) fn alike(&self) -> (String, String, String, String) {
        let why = self.why.unwrap_or_default().to_owned();
        (
            self.who.id.clone(),
            self.operation.clone(),
            self.path.clone(),
            why,
        )
    }

    /// One of so many that they are not told apart.
    pub(crate) fn one_of_many(mut self) -> Self {
        self.who.id = "various".to_owned();
        self.who.name = "various".to_owned();
        self.operation = "various".to_owned();
        self.path = String::new();
        self.why = Some("various");
        self
    }
}

impl From<&Actor> for AuditActor {
    fn from(actor: &Actor) -> Self {
        Self {
            kind: actor.kind,
            id: actor.id.clone(),
            name: actor.name.clone(),
        }
    }
}

impl From<&PersonView> for AuditActor {
    fn from(person: &PersonView) -> Self {
        Self {
            kind: ActorKind::Person,
            id: person.id.to_string(),
            name: person.name.clone(),
        }
    }
}

/// Who made a change, or tried to.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct AuditActor {
    /// A key or a person.
    pub(crate) kind: ActorKind,
    /// The id of the key or person.
    #[schema(example = "5f3a9c0b12de")]
    pub(crate) id: String,
    /// The name they had then.
    #[schema(example = "Till at the long bar")]
    pub(crate) name: String,
}
