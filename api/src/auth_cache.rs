//! Keys that were recognised a moment ago, so that the next request need not ask the database.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use crate::domain::access::{Actor, Token};

/// How long a key counts as recognised: it may expire, or be revoked by another process.
const MOMENT: Duration = Duration::from_secs(1);

/// The most keys that are remembered.
const MOST: usize = 1000;

/// Keys and who they are of.
#[derive(Debug, Clone, Default)]
pub(crate) struct AuthCache(Arc<Mutex<CachedKeys>>);

#[derive(Debug, Default)]
struct CachedKeys {
    /// How often everything was forgotten.
    revocations: u64,
    keys: HashMap<String, (Instant, Actor)>,
}

/// A question to the database that was begun before some revocation, or after.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Asked(u64);

impl AuthCache {
    /// Who shows this key, if that was found out a moment ago.
    pub(crate) fn find(&self, token: &Token) -> Result<Actor, Asked> {
        let known = self.known();
        match known.keys.get(&token.hash()) {
            Some((since, actor)) if since.elapsed() < MOMENT => Ok(actor.clone()),
            _ => Err(Asked(known.revocations)),
        }
    }

    /// Remembers who shows a key, unless a key was revoked while that was found out.
    pub(crate) fn keep(&self, asked: Asked, token: &Token, actor: &Actor) {
        let mut known = self.known();
        if known.revocations != asked.0 {
            return;
        }
        if known.keys.len() >= MOST {
            known.keys.clear();
        }
        let entry = (Instant::now(), actor.clone());
        known.keys.insert(token.hash(), entry);
    }

    /// Forgets all keys, once one of them was revoked.
    pub(crate) fn forget(&self) {
        let mut known = self.known();
        known.revocations += 1;
        known.keys.clear();
    }

    fn known(&self) -> MutexGuard<'_, CachedKeys> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::access::{ActorKind, Grant};

    fn actor() -> Actor {
        Actor {
            id: "key".to_owned(),
            kind: ActorKind::Key,
            name: "till".to_owned(),
            ends_at: None,
            grant: Grant {
                scopes: Vec::new(),
                sites: None,
            },
        }
    }

    #[test]
    fn a_key_is_known_until_one_is_revoked() {
        let (known, token) = (AuthCache::default(), Token::new(Token::KEY).unwrap());
        let before = known.find(&token).unwrap_err();
        known.keep(before, &token, &actor());
        assert_eq!(known.find(&token).unwrap().name, "till");
        known.forget();
        known.keep(before, &token, &actor());
        let after = known.find(&token).expect_err("it was asked for before");
        known.keep(after, &token, &actor());
        assert!(known.find(&token).is_ok());
    }
}
