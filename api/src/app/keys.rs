//! API keys: made, read and revoked by those who may do as much.

use crate::domain::access::{Actor, ApiKey, KeyId, KeyRequest};
use crate::domain::tags::ExpectedTag;
use crate::domain::{Refusal, time};
use crate::service::Service;
use crate::storage::{Connection, keys, webhooks};

/// Makes a key that may do no more than whoever makes it, and gives its text.
pub(crate) fn make(
    conn: &mut Connection,
    actor: &Actor,
    request: KeyRequest,
) -> Result<(ApiKey, String), Refusal> {
    let mut made = request.make(time::now())?;
    made.expires_at = actor.bounded(made.expires_at)?;
    if !actor.grant.covers(&made.grant) {
        return Err(Refusal::forbidden("this key may do more than your own"));
    }
    Ok((keys::insert(conn, &made)?, made.token.reveal()))
}

/// The keys that may do no more than whoever asks, the latest first.
pub(crate) fn list(conn: &mut Connection, actor: &Actor) -> Result<Vec<ApiKey>, Refusal> {
    let mut known = keys::list(conn)?;
    known.retain(|key| actor.grant.covers(&key.grant()));
    Ok(known)
}

/// A key that somebody may know of.
pub(crate) fn load(conn: &mut Connection, actor: &Actor, id: &KeyId) -> Result<ApiKey, Refusal> {
    let key = keys::load(conn, id)?;
    if actor.grant.covers(&key.grant()) {
        Ok(key)
    } else {
        Err(Refusal::UnknownKey(id.clone()))
    }
}

/// Revokes a key that may do no more than whoever revokes it.
pub(crate) async fn revoke(
    service: &Service,
    actor: Actor,
    id: KeyId,
    expected: ExpectedTag,
) -> Result<(), Refusal> {
    let revoked = service.store.write(move |conn| {
        let key = load(conn, &actor, &id)?;
        expected.admit(Some(&key))?;
        keys::revoke(conn, &id)?;
        Ok::<_, Refusal>(webhooks::disable_orphans(conn, time::now())?)
    });
    revoked.await?;
    service.known.forget();
    Ok(())
}
