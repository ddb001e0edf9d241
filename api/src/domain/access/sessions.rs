//! Sessions: what somebody who signed in is recognised by, and what they are shown of it.

use chrono::{DateTime, Duration, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::people::Password;
use super::{KeyId, Origin, Token};
use crate::domain::Refusal;
use crate::domain::audit::RequestLine;

/// How long a session lasts at the most: a long shift.
pub(crate) const SESSION: Duration = Duration::hours(12);

/// Where a session begins: a browser, and the session it had before.
#[derive(Debug, Clone)]
pub(crate) struct Browser {
    pub(crate) origin: Origin,
    /// What the browser says it is.
    pub(crate) agent: Option<String>,
    /// The session it shows already, which ends when another begins.
    pub(crate) session: Option<Token>,
}

/// Where a password is tried: the browser, and the request as the trail names it.
#[derive(Debug, Clone)]
pub(crate) struct Attempt {
    pub(crate) browser: Browser,
    pub(crate) line: RequestLine,
}

/// A session of one's own.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct OwnSession {
    /// Its id.
    #[schema(value_type = String, pattern = "^[0-9a-f]{12}$", example = "5f3a9c0b12de")]
    pub(crate) id: String,
    /// Whether it is the one that asks.
    pub(crate) current: bool,
    /// When it began (RFC 3339), if that was noted.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-01T08:00:00Z")]
    pub(crate) begun_at: Option<DateTime<Utc>>,
    /// When it was used last, to about a minute (RFC 3339), if that was noted.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-01T11:20:00Z")]
    pub(crate) seen_at: Option<DateTime<Utc>>,
    /// When it ends at the latest (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T20:00:00Z")]
    pub(crate) expires_at: DateTime<Utc>,
    /// The address it was begun from, if that was noted.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "192.0.2.17")]
    pub(crate) address: Option<String>,
    /// What the browser said it is, if it did.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "Mozilla/5.0 (iPad; CPU OS 19_0 like Mac OS X)")]
    pub(crate) agent: Option<String>,
}

/// Which of one's own sessions are to end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct EndSessions {
    /// The password, once more.
    pub(crate) password: Password,
    /// The session to end; all but the one that asks where nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) session: Option<KeyId>,
}

/// A new password for oneself.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct PasswordChange {
    /// The password so far.
    pub(crate) password: Password,
    /// The password from now on.
    pub(crate) new_password: Password,
}

/// The longest name of a browser that is kept, in characters.
const LONGEST_AGENT: usize = 200;

/// What a browser says it is, short enough to be kept.
pub(crate) fn agent(said: &str) -> String {
    let plain = said.chars().filter(|c| !c.is_control());
    plain.take(LONGEST_AGENT).collect()
}

impl PasswordChange {
    /// Refuses what would change nothing.
    pub(crate) fn check(&self) -> Result<(), Refusal> {
        if self.password == self.new_password {
            let what = "it is the one you have; choose another";
            return Err(Refusal::field("new_password", what));
        }
        Ok(())
    }
}
