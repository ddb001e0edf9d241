//! Sessions: people sign in with a name and a password, and sign out.

use chrono::{DateTime, Utc};

use crate::domain::access::{
    Attempt, Browser, Familiar, Origin, PersonId, PersonView, SignIn, Token, verify_nobody,
};
use crate::domain::audit::{AuditActor, Noted};
use crate::domain::{Refusal, time};
use crate::hashing::Caller;
use crate::problem::Kind;
use crate::service::Service;
use crate::storage::{Connection, Store, audit, familiar, people, sessions};

/// A session that was begun.
pub(crate) struct BegunSession {
    pub(crate) person: PersonView,
    pub(crate) token: Token,
    /// By what the browser is known from now on.
    pub(crate) device: Token,
    pub(crate) expires_at: DateTime<Utc>,
}

/// Begins a session for somebody who knows their password. One that the same browser had ends.
pub(crate) async fn begin(
    service: &Service,
    attempt: Attempt,
    asked: SignIn,
) -> Result<BegunSession, Refusal> {
    asked.check()?;
    let mut tried = None;
    let convinced = convinced(service, &attempt.browser.origin, asked, &mut tried).await;
    let person = convinced.inspect_err(|refusal| {
        note_refused(service, &attempt, tried, refusal);
    })?;
    let Attempt { browser, line } = attempt;
    let noted = Noted::new(AuditActor::from(&person), "sign_in", None).at(&line);
    let begun = service.store.write(move |conn| {
        audit::note(conn, &noted)?;
        let device = known_device(conn, &browser)?;
        open(conn, person, &browser, device)
    });
    begun.await
}

/// Notes that somebody did not get in; as whom they tried to, if there is such a person.
fn note_refused(service: &Service, attempt: &Attempt, person: Option<PersonId>, refusal: &Refusal) {
    let address = &attempt.browser.origin.address;
    let why = Kind::of(refusal).code();
    let noted = Noted::refused_to_a_stranger(address, "sign_in", why).at(&attempt.line);
    service.refusals.note(match person {
        Some(person) => noted.about(person),
        None => noted,
    });
}

/// The token of a browser, if this service gave it out: several people may share a browser.
pub(super) fn known_device(
    conn: &mut Connection,
    browser: &Browser,
) -> Result<Option<Token>, Refusal> {
    match &browser.origin.device {
        Some(device) if familiar::issued(conn, device)? => Ok(Some(device.clone())),
        _ => Ok(None),
    }
}

/// Opens a session in a browser, which is known to be that person's from then on.
pub(super) fn open(
    conn: &mut Connection,
    person: PersonView,
    browser: &Browser,
    device: Option<Token>,
) -> Result<BegunSession, Refusal> {
    let token = Token::new(Token::SESSION)?;
    let device = device.map_or_else(|| Token::new(Token::DEVICE), Ok)?;
    let address = &browser.origin.address;
    familiar::remember(conn, person.id, &device, address, time::now())?;
    let expires_at = sessions::begin(conn, person.id, &token, browser)?;
    Ok(BegunSession {
        person,
        token,
        device,
        expires_at,
    })
}

/// The person of a name, if the password is theirs. What tries there may be is asked before
/// anything is hashed. `tried` is told whose name it is, for the trail.
async fn convinced(
    service: &Service,
    origin: &Origin,
    asked: SignIn,
    tried: &mut Option<PersonId>,
) -> Result<PersonView, Refusal> {
    let SignIn { name, password } = asked;
    let stranger = origin.device.is_none();
    if stranger {
        service.limits.count_sign_in_there(&origin.network)?;
    } else {
        // To look at a token is cheap, but not for nothing.
        service.limits.count_stranger(&origin.network)?;
    }
    let (called, from) = (name.clone(), origin.clone());
    let (found, place) = service
        .store
        .read(move |conn| {
            let found = people::by_name(conn, &called)?;
            let place = match &found {
                Some((person, _)) => familiar::known(conn, person.id, &from, time::now())?,
                None => Familiar::No,
            };
            Ok::<_, Refusal>((found, place))
        })
        .await?;
    *tried = found.as_ref().map(|(person, _)| person.id);
    if !stranger && !matches!(place, Familiar::Device(_)) {
        service.limits.count_sign_in_there(&origin.network)?;
    }
    service
        .limits
        .count_sign_in(&name, &origin.network, &place)?;
    let caller = match place {
        Familiar::No => Caller::Stranger,
        Familiar::Device(_) | Familiar::Address => Caller::Known,
    };
    let checked = service.hashing.run(caller, move || match found {
        Some((person, kept)) if password.matches(&kept) && person.lasts_at(time::now()) => {
            Ok(person)
        }
        Some(_) => Err(Refusal::BadSignIn),
        None => {
            verify_nobody(&password);
            Err(Refusal::BadSignIn)
        }
    });
    checked.await
}

/// Ends a session, if one is shown.
pub(crate) async fn end(store: &Store, shown: Option<Token>) -> Result<(), Refusal> {
    if let Some(token) = shown {
        store
            .write(move |conn| Ok::<_, Refusal>(sessions::end(conn, &token)?))
            .await?;
    }
    Ok(())
}
