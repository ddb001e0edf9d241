//! Who may do what: scopes, the sites they hold for, and who somebody turned out to be.

mod argon;
mod first;
mod guessable;
mod keys;
mod people;
mod places;
mod secrets;
mod sessions;

use chrono::{DateTime, Utc};
use scheduler::scenario::SiteId;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

pub(crate) use first::{MadeUp, made_up};
pub(crate) use keys::{ApiKey, KeyId, KeyRequest, NewKey};
pub(crate) use people::{
    Password, PersonChange, PersonId, PersonRequest, PersonView, SignIn, verify_nobody,
};
pub(crate) use places::{Familiar, Origin};
pub(crate) use secrets::{Token, hash, made_up_password, random};

pub(crate) use sessions::{
    Attempt, Browser, EndSessions, OwnSession, PasswordChange, SESSION, agent,
};
use strum::VariantArray;

use super::Refusal;

/// A part of what can be done. Each scope includes those before it.
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
    strum::EnumString,
    strum::VariantArray,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case", const_into_str)]
pub(crate) enum Scope {
    /// Read everything but who may do what, and calculate.
    Read,
    /// Also do the work of a plan: start, finish, take readings, count and move stock.
    Floor,
    /// Also change demand and setup, and ask for plans.
    Plan,
    /// Everything: keys, people and sites too.
    Admin,
}

/// What somebody may do, and where.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Grant {
    pub(crate) scopes: Vec<Scope>,
    /// None: everywhere.
    pub(crate) sites: Option<Vec<SiteId>>,
}

/// To how many sites a grant can be limited.
const MOST_SITES: usize = 1000;

impl Grant {
    /// What the first key of a database may do.
    pub(crate) fn everything() -> Self {
        Self {
            scopes: vec![Scope::Admin],
            sites: None,
        }
    }

    /// A grant as it was asked for.
    pub(crate) fn new(mut scopes: Vec<Scope>, sites: Option<Vec<SiteId>>) -> Result<Self, Refusal> {
        if !(1..=Scope::VARIANTS.len()).contains(&scopes.len()) {
            let what = format!(
                "{} found; one to four of read, floor, plan and admin are allowed",
                scopes.len()
            );
            return Err(Refusal::field("scopes", what));
        }
        let named = sites.as_ref().map_or(1, Vec::len);
        if !(1..=MOST_SITES).contains(&named) {
            let what = format!(
                "{named} found; 1 to {MOST_SITES} are allowed, or leave it out for all sites"
            );
            return Err(Refusal::field("sites", what));
        }
        scopes.sort_unstable();
        scopes.dedup();
        Ok(Self { scopes, sites })
    }

    /// Whether this includes a scope.
    pub(crate) fn allows(&self, scope: Scope) -> bool {
        self.scopes.iter().any(|held| *held >= scope)
    }

    /// Whether this holds at a site.
    pub(crate) fn reaches(&self, site: &SiteId) -> bool {
        self.sites.as_ref().is_none_or(|sites| sites.contains(site))
    }

    /// Whether all that `other` may do is included, so that it can be given away.
    pub(crate) fn covers(&self, other: &Self) -> bool {
        let sites = match (&self.sites, &other.sites) {
            (None, _) => true,
            (Some(_), None) => false,
            (Some(held), Some(asked)) => asked.iter().all(|site| held.contains(site)),
        };
        sites && other.scopes.iter().all(|scope| self.allows(*scope))
    }
}

/// Somebody who was recognised.
#[derive(Debug, Clone)]
pub(crate) struct Actor {
    /// The key or person, as the audit trail names it.
    pub(crate) name: String,
    /// What the key or person is found by.
    pub(crate) id: String,
    pub(crate) kind: ActorKind,
    pub(crate) grant: Grant,
    /// When they stop being anybody; never where nothing is said.
    pub(crate) ends_at: Option<DateTime<Utc>>,
}

impl Actor {
    /// When what they make is to end: as was asked for, and not after they end themselves.
    ///
    /// # Errors
    /// If it was asked to last longer than that.
    pub(crate) fn bounded(
        &self,
        asked: Option<DateTime<Utc>>,
    ) -> Result<Option<DateTime<Utc>>, Refusal> {
        match (asked, self.ends_at) {
            (Some(asked), Some(end)) if asked > end => Err(Refusal::forbidden(format!(
                "\"{}\" ends at {}, and nothing it makes lasts longer",
                self.name,
                end.to_rfc3339()
            ))),
            (asked, end) => Ok(asked.or(end)),
        }
    }

    /// Whether they may decide over somebody: who may do no more, and ends no later.
    pub(crate) fn covers(&self, grant: &Grant, ends_at: Option<DateTime<Utc>>) -> bool {
        let in_time = match (self.ends_at, ends_at) {
            (None, _) => true,
            (Some(_), None) => false,
            (Some(end), Some(theirs)) => theirs <= end,
        };
        in_time && self.grant.covers(grant)
    }
}

/// How somebody was recognised.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Serialize,
    Deserialize,
    ToSchema,
    strum::IntoStaticStr,
    strum::EnumString,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case", const_into_str)]
pub(crate) enum ActorKind {
    /// By an API key.
    Key,
    /// As a person who signed in.
    Person,
    /// Not at all: in the audit trail, somebody who was refused. Their id is the address they came
    /// from.
    Stranger,
}

/// A name people can read: neither blank nor with control characters.
pub(crate) fn check_name(name: &str) -> Result<(), Refusal> {
    let length = name.chars().count();
    if (1..=120).contains(&length) && !name.trim().is_empty() && !name.chars().any(char::is_control)
    {
        return Ok(());
    }
    Err(Refusal::field(
        "name",
        format!("{length} characters found; 1 to 120 printable ones are allowed, not all blank"),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grant(scopes: &[Scope], sites: Option<&[&str]>) -> Grant {
        let sites = sites.map(|list| {
            list.iter()
                .map(|site| SiteId::parse(site).unwrap())
                .collect()
        });
        Grant::new(scopes.to_vec(), sites).unwrap()
    }

    #[test]
    fn each_scope_includes_those_before_it() {
        let floor = grant(&[Scope::Floor], None);
        assert!(floor.allows(Scope::Read) && floor.allows(Scope::Floor));
        assert!(!floor.allows(Scope::Plan) && !floor.allows(Scope::Admin));
        let admin = Grant::everything();
        assert!(Scope::VARIANTS.iter().all(|scope| admin.allows(*scope)));
    }

    #[test]
    fn nobody_gives_away_what_they_do_not_have() {
        let here = grant(&[Scope::Admin], Some(&["here"]));
        assert!(here.covers(&grant(&[Scope::Plan], Some(&["here"]))));
        assert!(!here.covers(&grant(&[Scope::Plan], Some(&["here", "there"]))));
        assert!(!here.covers(&grant(&[Scope::Read], None)));
        assert!(!grant(&[Scope::Plan], None).covers(&Grant::everything()));
    }

    #[test]
    fn nothing_lasts_longer_than_whoever_made_it() {
        let now = crate::domain::time::now();
        let actor = |ends_at| Actor {
            name: "till".to_owned(),
            id: "x".to_owned(),
            kind: ActorKind::Key,
            grant: Grant::everything(),
            ends_at,
        };
        let (sooner, later) = (now, now + chrono::Duration::hours(1));
        let ending = actor(Some(sooner));
        assert_eq!(ending.bounded(None).unwrap(), Some(sooner));
        assert_eq!(ending.bounded(Some(sooner)).unwrap(), Some(sooner));
        assert!(ending.bounded(Some(later)).is_err());
        assert_eq!(actor(None).bounded(Some(later)).unwrap(), Some(later));
        assert_eq!(actor(None).bounded(None).unwrap(), None);
        let read = grant(&[Scope::Read], None);
        assert!(ending.covers(&read, Some(sooner)) && !ending.covers(&read, Some(later)));
        assert!(!ending.covers(&read, None) && actor(None).covers(&read, None));
    }

    #[test]
    fn a_grant_of_nothing_is_refused() {
        assert!(Grant::new(Vec::new(), None).is_err());
        assert!(Grant::new(vec![Scope::Read], Some(Vec::new())).is_err());
    }
}
