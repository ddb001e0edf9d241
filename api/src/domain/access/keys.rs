//! API keys: what other systems show.

use chrono::{DateTime, FixedOffset, Utc};
use scheduler::scenario::SiteId;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{Grant, Scope, Token, check_name};
use crate::domain::Refusal;

/// Names a key: the middle part of its text.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(try_from = "String", into = "String")]
#[schema(value_type = String, pattern = "^[0-9a-f]{12}$", example = "5f3a9c0b12de")]
pub(crate) struct KeyId(String);

/// Why a text is not the id of a key.
#[derive(Debug, thiserror::Error)]
#[error("this is not the id of a key; 12 hexadecimal digits are allowed, such as 5f3a9c0b12de")]
pub(crate) struct BadKeyId;

impl KeyId {
    pub(crate) fn as_str(&self) -> &str {
        &self.0
    }
}

impl TryFrom<String> for KeyId {
    type Error = BadKeyId;
    fn try_from(text: String) -> Result<Self, BadKeyId> {
        let hex = text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'));
        if text.len() == 12 && hex {
            Ok(Self(text))
        } else {
            Err(BadKeyId)
        }
    }
}

impl From<KeyId> for String {
    fn from(id: KeyId) -> Self {
        id.0
    }
}

impl std::fmt::Display for KeyId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

/// A key that is asked for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct KeyRequest {
    /// What people call it: the system that will use it.
    #[schema(min_length = 1, max_length = 120, example = "Till at the long bar")]
    pub(crate) name: String,
    /// What it may do.
    #[schema(min_items = 1, max_items = 4)]
    pub(crate) scopes: Vec<Scope>,
    /// The only sites it may see; all where nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<Vec<String>>, min_items = 1, max_items = 1000,
        example = json!(["harbour-bar"]))]
    pub(crate) sites: Option<Vec<SiteId>>,
    /// When it stops working (RFC 3339 with an offset); never where nothing is said, unless the key
    /// that makes it ends. No key lasts longer than the one that made it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2060-01-01T00:00:00Z")]
    #[serde(deserialize_with = "scheduler::scenario::instants::instant_if_any")]
    pub(crate) expires_at: Option<DateTime<FixedOffset>>,
}

impl KeyRequest {
    /// Makes the key, with its secret.
    pub(crate) fn make(self, now: DateTime<Utc>) -> Result<NewKey, Refusal> {
        check_name(&self.name)?;
        if let Some(end) = self.expires_at.filter(|end| *end <= now) {
            let what = format!("{} found; it must be later than now", end.to_rfc3339());
            return Err(Refusal::field("expires_at", what));
        }
        Ok(NewKey {
            token: Token::new(Token::KEY)?,
            name: self.name,
            grant: Grant::new(self.scopes, self.sites)?,
            created_at: now,
            expires_at: self.expires_at.map(crate::domain::time::kept),
        })
    }
}

/// A key that was just made.
#[derive(Debug, Clone)]
pub(crate) struct NewKey {
    pub(crate) token: Token,
    pub(crate) name: String,
    pub(crate) grant: Grant,
    pub(crate) created_at: DateTime<Utc>,
    pub(crate) expires_at: Option<DateTime<Utc>>,
}

impl NewKey {
    /// The first key of a database.
    pub(crate) fn first(now: DateTime<Utc>) -> Result<Self, Refusal> {
        Ok(Self {
            token: Token::new(Token::KEY)?,
            name: "first key".to_owned(),
            grant: Grant::everything(),
            created_at: now,
            expires_at: None,
        })
    }
}

/// A key as it is listed: without its secret, which nobody knows but its holder.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct ApiKey {
    /// Its id, the middle part of the key's text.
    pub(crate) id: KeyId,
    /// What people call it.
    #[schema(example = "Till at the long bar")]
    pub(crate) name: String,
    /// What it may do.
    pub(crate) scopes: Vec<Scope>,
    /// The only sites it may see; all where nothing is said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<Vec<String>>, example = json!(["harbour-bar"]))]
    pub(crate) sites: Option<Vec<SiteId>>,
    /// When it was made (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T08:00:00Z")]
    pub(crate) created_at: DateTime<Utc>,
    /// When it stops working (RFC 3339); never where nothing is said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2060-01-01T00:00:00Z")]
    pub(crate) expires_at: Option<DateTime<Utc>>,
    /// When it was revoked (RFC 3339), if it was.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-07-01T08:00:00Z")]
    pub(crate) revoked_at: Option<DateTime<Utc>>,
}

impl ApiKey {
    /// Whether it opens anything at an instant.
    pub(crate) fn works_at(&self, now: DateTime<Utc>) -> bool {
        self.revoked_at.is_none() && self.expires_at.is_none_or(|end| now < end)
    }

    pub(crate) fn grant(&self) -> Grant {
        Grant {
            scopes: self.scopes.clone(),
            sites: self.sites.clone(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::time;

    fn request() -> KeyRequest {
        KeyRequest {
            name: "till".to_owned(),
            scopes: vec![Scope::Plan, Scope::Plan],
            sites: None,
            expires_at: None,
        }
    }

    #[test]
    fn a_key_is_made_as_it_was_asked_for() {
        let key = request().make(time::now()).unwrap();
        assert_eq!(key.grant.scopes, [Scope::Plan]);
        assert!(KeyId::try_from(key.token.id).is_ok());
    }

    #[test]
    fn a_key_that_could_never_work_is_refused() {
        let late = KeyRequest {
            expires_at: Some(time::now().fixed_offset()),
            ..request()
        };
        assert!(late.make(time::now()).is_err());
        let blank = KeyRequest {
            name: " ".to_owned(),
            ..request()
        };
        assert!(blank.make(time::now()).is_err());
    }
}
