//! People: who signs in to the board with a name and a password.

use chrono::{DateTime, Utc};
use scheduler::scenario::SiteId;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

use super::{Grant, Scope, argon, check_name, guessable};
use crate::domain::Refusal;

/// Names a person.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(try_from = "String", into = "String")]
#[schema(value_type = String, format = "uuid", example = "01975c1e-7a58-7b3e-9d2c-5d1f0a4b6c7d")]
pub(crate) struct PersonId(Uuid);

/// Why a text is not the id of a person.
#[derive(Debug, thiserror::Error)]
#[error("this is not the id of a person; a UUID is allowed, such as GET /v1/people lists")]
pub(crate) struct BadPersonId;

impl PersonId {
    pub(crate) fn new() -> Self {
        Self(Uuid::now_v7())
    }
}

impl TryFrom<String> for PersonId {
    type Error = BadPersonId;
    fn try_from(text: String) -> Result<Self, BadPersonId> {
        Uuid::parse_str(&text).map(Self).map_err(|_| BadPersonId)
    }
}

impl From<PersonId> for String {
    fn from(id: PersonId) -> Self {
        id.to_string()
    }
}

impl std::fmt::Display for PersonId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.fmt(f)
    }
}

/// A password on its way to be hashed or compared. It is never shown.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(transparent)]
#[schema(value_type = String, format = Password, min_length = 10, max_length = 200,
    example = "four words, well chosen")]
pub(crate) struct Password(String);

impl std::fmt::Debug for Password {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("…")
    }
}

/// Characters of a password. A long sentence is better than odd signs, so nothing else is asked.
const LENGTH: std::ops::RangeInclusive<usize> = 10..=200;

impl Password {
    /// What is kept of a new password.
    ///
    /// # Errors
    /// If it is too short, too long, or among the first that are guessed; the error names `field`.
    /// Passwords that are kept already go on.
    pub(crate) fn hash(&self, field: &'static str, name: &str) -> Result<String, Refusal> {
        let length = self.0.chars().count();
        if !LENGTH.contains(&length) {
            let what = format!("{length} characters found; 10 to 200 are allowed");
            return Err(Refusal::field(field, what));
        }
        if let Some(why) = guessable::why(&self.0, name) {
            return Err(Refusal::field(field, why));
        }
        argon::hash(&self.0).map_err(Refusal::internal)
    }

    /// Whether it is the one that was hashed.
    pub(crate) fn matches(&self, kept: &str) -> bool {
        self.0.chars().count() <= *LENGTH.end() && argon::matches(&self.0, kept).unwrap_or(false)
    }
}

/// Takes as long as comparing a password does, so that nobody learns which names there are.
pub(crate) fn verify_nobody(password: &Password) {
    // The hash of a password nobody knows.
    const NOBODY: &str = "$argon2id$v=19$m=19456,t=2,p=1$c29tZSBzYWx0LCBub3Qgc2VjcmV0$\
        UvXF3E8lBO0iWYq5Vgt9gvXUPFbGQMIKlpM3SgmC6Ok";
    let _ = password.matches(NOBODY);
}

/// A person to be added.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct PersonRequest {
    /// The name to sign in with.
    #[schema(min_length = 1, max_length = 120, example = "Ines")]
    pub(crate) name: String,
    /// The password to sign in with.
    pub(crate) password: Password,
    /// What they may do.
    #[schema(min_items = 1, max_items = 4)]
    pub(crate) scopes: Vec<Scope>,
    /// The only sites they may see; all where nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<Vec<String>>, min_items = 1, max_items = 1000,
        example = json!(["harbour-bar"]))]
    pub(crate) sites: Option<Vec<SiteId>>,
}

/// What is to be different about a person; what is left out stays.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct PersonChange {
    /// A new password. All their sessions end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) password: Option<Password>,
    /// What they may do from now on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(min_items = 1, max_items = 4)]
    pub(crate) scopes: Option<Vec<Scope>>,
}

/// A person as they are listed.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct PersonView {
    /// Their id.
    pub(crate) id: PersonId,
    /// The name they sign in with.
    #[schema(example = "Ines")]
    pub(crate) name: String,
    /// What they may do.
    pub(crate) scopes: Vec<Scope>,
    /// The only sites they may see; all where nothing is said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<Vec<String>>, example = json!(["harbour-bar"]))]
    pub(crate) sites: Option<Vec<SiteId>>,
    /// When they were added (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T08:00:00Z")]
    pub(crate) created_at: DateTime<Utc>,
    /// Until when they may sign in (RFC 3339), as a key that ends has added them; without end where
    /// nothing is said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2060-01-01T00:00:00Z")]
    pub(crate) ends_at: Option<DateTime<Utc>>,
}

impl PersonRequest {
    /// The person, and what is kept of the password.
    pub(crate) fn make(self, now: DateTime<Utc>) -> Result<(PersonView, String), Refusal> {
        check_name(&self.name)?;
        let grant = Grant::new(self.scopes, self.sites)?;
        let person = PersonView {
            id: PersonId::new(),
            name: self.name,
            scopes: grant.scopes,
            sites: grant.sites,
            created_at: now,
            ends_at: None,
        };
        let kept = self.password.hash("password", &person.name)?;
        Ok((person, kept))
    }
}

impl PersonView {
    pub(crate) fn grant(&self) -> Grant {
        Grant {
            scopes: self.scopes.clone(),
            sites: self.sites.clone(),
        }
    }

    /// Whether they may sign in at an instant.
    pub(crate) fn lasts_at(&self, now: DateTime<Utc>) -> bool {
        self.ends_at.is_none_or(|end| now < end)
    }
}

/// Name and password.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct SignIn {
    /// The name to sign in with.
    #[schema(max_length = 120, example = "Ines")]
    pub(crate) name: String,
    /// The password.
    pub(crate) password: Password,
}

impl SignIn {
    /// Refuses what can be nobody's, before anything is looked up.
    pub(crate) fn check(&self) -> Result<(), Refusal> {
        let length = self.name.chars().count();
        if length <= LONGEST_NAME {
            return Ok(());
        }
        let what = format!("{length} characters found; at most {LONGEST_NAME} are allowed");
        Err(Refusal::field("name", what))
    }
}

/// The longest name a person can have, in characters.
const LONGEST_NAME: usize = 120;

#[cfg(test)]
mod tests {
    use super::*;

    fn password(text: &str) -> Password {
        Password(text.to_owned())
    }

    #[test]
    fn a_password_matches_only_itself() {
        let kept = password("four words, well chosen")
            .hash("password", "Ines")
            .unwrap();
        assert!(
            kept.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"),
            "{kept}"
        );
        assert!(password("four words, well chosen").matches(&kept));
        assert!(!password("four words, well chosem").matches(&kept));
        assert_ne!(
            password("four words, well chosen")
                .hash("password", "Ines")
                .unwrap(),
            kept
        );
    }

    #[test]
    fn short_and_endless_passwords_are_refused() {
        assert!(password("short").hash("password", "Ines").is_err());
        assert!(password(&"x".repeat(201)).hash("password", "Ines").is_err());
        assert!(!format!("{:?}", password("four words")).contains("four"));
    }

    #[test]
    fn comparing_with_nobody_is_a_real_comparison() {
        let hash = "$argon2id$v=19$m=19456,t=2,p=1$c29tZSBzYWx0LCBub3Qgc2VjcmV0$\
            UvXF3E8lBO0iWYq5Vgt9gvXUPFbGQMIKlpM3SgmC6Ok";
        assert_eq!(argon::matches("anything", hash), Some(false));
        verify_nobody(&password("anything at all"));
    }
}
