//! Changes whose answers are kept with them: what a repeat of the request is told is stored in the
//! transaction of the change, so that a crash loses both or neither.

use actix_web::HttpResponse;
use actix_web::body::MessageBody;
use actix_web::http::StatusCode;
use actix_web::http::header::HeaderMap;
use actix_web::web::Bytes;

use super::repeats::answer;
use super::shown_once::ShownOnce;
use crate::problem::Problem;
use crate::storage::{Connection, StorageError, Store};

/// Marks an answer that was kept with its change.
#[derive(Debug, Clone, Copy)]
pub(super) struct KeptWithChange;

/// An answer that can go from thread to thread.
struct Written {
    status: StatusCode,
    headers: HeaderMap,
    body: Bytes,
    secret: bool,
}

/// Makes a change and writes the answer that tells of it. If the request has a name of its own, the
/// answer is kept with the change. One with a secret never is.
pub(crate) async fn answering<T, E, F, G>(
    store: &Store,
    change: F,
    tell: G,
) -> Result<HttpResponse, Problem>
where
    E: From<StorageError> + Send + 'static,
    Problem: From<E>,
    F: FnOnce(&mut Connection) -> Result<T, E> + Send + 'static,
    G: FnOnce(&T) -> HttpResponse + Send + 'static,
{
    let written = store.write_answered(move |conn| {
        let response = tell(&change(conn)?);
        let secret = response.extensions().get::<ShownOnce>().is_some();
        let (head, body) = response.into_parts();
        let written = Written {
            status: head.status(),
            headers: head.headers().clone(),
            body: body.try_into_bytes().unwrap_or_default(),
            secret,
        };
        let kept = answer(written.status, &written.headers, &written.body).filter(|_| !secret);
        Ok::<_, E>((written, kept))
    });
    let written = written.await?;
    let mut response = HttpResponse::with_body(written.status, ());
    *response.headers_mut() = written.headers;
    if written.secret {
        // That it was given is noted by whoever began the request.
        response.extensions_mut().insert(ShownOnce);
    } else {
        response.extensions_mut().insert(KeptWithChange);
    }
    Ok(response.set_body(written.body).map_into_boxed_body())
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::AtomicBool;

    use super::*;
    use crate::domain::Refusal;
    use crate::domain::access::{Actor, ActorKind, Grant};
    use crate::domain::repeats::{PriorRequest, RepeatKey};
    use crate::domain::time;
    use crate::storage::audit_context::{AuditContext, following};
    use crate::storage::repeats;
    use crate::storage::tests::fresh;

    fn key() -> RepeatKey {
        RepeatKey {
            actor: "key:till".to_owned(),
            key: "order 7".to_owned(),
        }
    }

    fn trail() -> AuditContext {
        AuditContext {
            actor: Actor {
                name: "till".to_owned(),
                id: "till".to_owned(),
                kind: ActorKind::Key,
                grant: Grant::everything(),
                ends_at: None,
            },
            operation: "record_stock_count".to_owned(),
            method: "POST".to_owned(),
            path: "/v1/x".to_owned(),
            site: None,
            plan: None,
            request_id: "r".to_owned(),
            repeat: Some(key()),
            recorded: AtomicBool::new(false),
        }
    }

    /// The service is stopped between a change and its answer: whoever asks again is told the same,
    /// and a change that failed left no answer.
    #[actix_web::test]
    async fn an_answer_is_kept_with_its_change_or_not_at_all() {
        let (_dir, store) = fresh();
        let begin = || {
            let known = store.write_now(|conn| repeats::begin(conn, &key(), "a", time::now()));
            known.unwrap()
        };
        assert_eq!(begin(), PriorRequest::New);
        let fails = |_: &mut Connection| Err::<u8, _>(Refusal::AnswerLost);
        let tell = |made: &u8| {
            HttpResponse::Created()
                .insert_header(("etag", "\"1\""))
                .json(made)
        };
        let failed = following(trail(), answering(&store, fails, tell)).await;
        assert!(failed.is_err());
        assert_eq!(begin(), PriorRequest::Underway);
        let makes = |_: &mut Connection| Ok::<u8, Refusal>(7);
        let made = following(trail(), answering(&store, makes, tell)).await;
        assert_eq!(made.unwrap().status(), 201);
        let PriorRequest::Answered(kept) = begin() else {
            panic!("{:?}", begin());
        };
        assert_eq!((kept.status, kept.body.as_slice()), (201, b"7".as_slice()));
        assert!(
            kept.headers
                .contains(&("etag".to_owned(), "\"1\"".to_owned()))
        );
    }
}
