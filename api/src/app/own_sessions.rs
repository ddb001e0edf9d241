//! One's own sessions and password, for people who are signed in.

use super::sessions::{BegunSession, known_device, open};
use crate::domain::Refusal;
use crate::domain::access::{
    Actor, ActorKind, Attempt, EndSessions, Familiar, OwnSession, Password, PasswordChange,
    PersonId, Token,
};
use crate::domain::audit::{AuditActor, Noted};
use crate::hashing::Caller;
use crate::problem::Kind;
use crate::service::Service;
use crate::storage::{people, sessions};

/// Who somebody is in a session.
#[derive(Clone)]
pub(crate) struct Own {
    person: PersonId,
    token: Token,
}

impl Own {
    /// The person somebody is, and the session they show.
    pub(crate) fn of(actor: &Actor, shown: Option<Token>) -> Result<Self, Refusal> {
        let token = shown.filter(|_| actor.kind == ActorKind::Person);
        let token = token.ok_or_else(|| {
            Refusal::forbidden("this is for people who are signed in, and a key was shown")
        })?;
        let person = PersonId::try_from(actor.id.clone()).map_err(Refusal::internal)?;
        Ok(Self { person, token })
    }
}

/// The sessions somebody has.
pub(crate) async fn list(service: &Service, own: Own) -> Result<Vec<OwnSession>, Refusal> {
    let idle = service.session_idle;
    service
        .store
        .read(move |conn| Ok(sessions::list(conn, own.person, &own.token, idle)?))
        .await
}

/// Ends sessions, if the password is right.
pub(crate) async fn end(
    service: &Service,
    actor: &Actor,
    attempt: Attempt,
    asked: EndSessions,
) -> Result<Vec<OwnSession>, Refusal> {
    let own = Own::of(actor, attempt.browser.session.clone())?;
    convinced(service, actor, &own, &attempt, asked.password).await?;
    let (ended, only) = (own.clone(), asked.session);
    service
        .store
        .write(move |conn| {
            let only = only.as_ref().map(|id| id.as_str());
            sessions::end_others(conn, ended.person, &ended.token, only)?;
            Ok::<_, Refusal>(())
        })
        .await?;
    list(service, own).await
}

/// Changes somebody's own password. Their sessions end, and one begins.
pub(crate) async fn change(
    service: &Service,
    actor: &Actor,
    attempt: Attempt,
    asked: PasswordChange,
) -> Result<BegunSession, Refusal> {
    asked.check()?;
    let own = Own::of(actor, attempt.browser.session.clone())?;
    let before = convinced(service, actor, &own, &attempt, asked.password).await?;
    let name = actor.name.clone();
    let hashed = service.hashing.run(Caller::Known, move || {
        asked.new_password.hash("new_password", &name)
    });
    let hashed = hashed.await?;
    let browser = attempt.browser;
    service
        .store
        .write(move |conn| {
            if people::password(conn, own.person)? != before {
                return Err(not_yours());
            }
            let device = known_device(conn, &browser)?;
            people::set_password(conn, own.person, &hashed)?;
            let person = people::load(conn, own.person)?;
            open(conn, person, &browser, device)
        })
        .await
}

/// What is kept of somebody's password, if it is the one they say.
async fn convinced(
    service: &Service,
    actor: &Actor,
    own: &Own,
    attempt: &Attempt,
    password: Password,
) -> Result<String, Refusal> {
    let session = Familiar::Device(own.token.id.clone());
    let address = &attempt.browser.origin.address;
    service
        .limits
        .count_sign_in(&actor.name, address, &session)?;
    let person = own.person;
    let kept = service
        .store
        .read(move |conn| Ok::<_, Refusal>(people::password(conn, person)?))
        .await?;
    let compared = kept.clone();
    let right = service
        .hashing
        .run(Caller::Known, move || Ok(password.matches(&compared)))
        .await?;
    if right {
        return Ok(kept);
    }
    let why = Kind::BadSignIn.code();
    let noted = Noted::new(AuditActor::from(actor), "own_password", Some(why)).at(&attempt.line);
    service.refusals.note(noted);
    Err(not_yours())
}

fn not_yours() -> Refusal {
    Refusal::field("password", "it is not your password")
}
