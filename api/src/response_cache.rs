//! Answers that are read again and again, kept as they were sent until anything happens.
//!
//! Everything they show is changed together with an event, so the last event says whether an answer
//! still holds; nothing has to be told to other processes. Where it is known that nothing at all was
//! written, the database is not even asked for that.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

use actix_web::http::header::{ETag, EntityTag};
use actix_web::{HttpRequest, HttpResponse, web};
use serde::Serialize;

use crate::domain::Refusal;
use crate::domain::access::hash;
use crate::problem::Problem;
use crate::storage::events::{self, Mark};
use crate::storage::{Connection, Store, Version};

/// The most answers that are kept, and the most bytes of them.
const MOST: usize = 64;
const MOST_BYTES: usize = 16 << 20;

/// Answers by path and query, the latest last.
#[derive(Debug, Clone, Default)]
pub(crate) struct ResponseCache(Arc<Mutex<VecDeque<CachedResponse>>>);

#[derive(Debug, Clone)]
struct CachedResponse {
    asked: String,
    mark: Option<Mark>,
    /// The state of the database in which it was last known to hold.
    version: Option<Version>,
    tag: EntityTag,
    bytes: web::Bytes,
}

/// Answers from what is kept, or works it out.
pub(crate) async fn answer<T: Serialize>(
    store: &Store,
    kept: &ResponseCache,
    request: &HttpRequest,
    work: impl FnOnce(&mut Connection) -> Result<T, Refusal> + Send + 'static,
) -> Result<HttpResponse, Problem> {
    let (kept, asked) = (kept.clone(), request.uri().to_string());
    let version = store.version();
    // Nothing at all was written since.
    let unchanged = |found: &CachedResponse| version.is_some() && found.version == version;
    if let Some(found) = kept.find(&asked).filter(unchanged) {
        return Ok(found.sent());
    }
    let found = store
        .read(move |conn| {
            let mark = events::mark(conn)?;
            if let Some(found) = kept.find(&asked).filter(|found| found.mark == mark) {
                let found = CachedResponse { version, ..found };
                kept.keep(found.clone());
                return Ok(found);
            }
            let bytes = serde_json::to_vec(&work(conn)?).map_err(Refusal::internal)?;
            let answer = CachedResponse {
                asked,
                mark,
                version,
                tag: EntityTag::new_weak(hash(&[&bytes])[..32].to_owned()),
                bytes: bytes.into(),
            };
            kept.keep(answer.clone());
            Ok::<_, Refusal>(answer)
        })
        .await?;
    Ok(found.sent())
}

impl CachedResponse {
    fn sent(self) -> HttpResponse {
        HttpResponse::Ok()
            .content_type("application/json")
            .insert_header(ETag(self.tag))
            .body(self.bytes)
    }
}

impl ResponseCache {
    /// What was answered last, whether or not it still holds.
    fn find(&self, asked: &str) -> Option<CachedResponse> {
        let answers = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        answers.iter().find(|answer| answer.asked == asked).cloned()
    }

    fn keep(&self, answer: CachedResponse) {
        let mut answers = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        answers.retain(|known| known.asked != answer.asked);
        answers.push_back(answer);
        let bytes = |answers: &VecDeque<CachedResponse>| -> usize {
            answers.iter().map(|answer| answer.bytes.len()).sum()
        };
        while answers.len() > MOST || bytes(&answers) > MOST_BYTES {
            answers.pop_front();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn answer(asked: &str, size: usize) -> CachedResponse {
        CachedResponse {
            asked: asked.to_owned(),
            mark: None,
            version: None,
            tag: EntityTag::new_weak("x".to_owned()),
            bytes: vec![0; size].into(),
        }
    }

    #[test]
    fn the_oldest_go_where_there_are_too_many_or_too_large() {
        let kept = ResponseCache::default();
        for n in 0..=MOST {
            kept.keep(answer(&n.to_string(), 1));
        }
        assert!(kept.find("0").is_none());
        assert!(kept.find("1").is_some());
        kept.keep(answer("large", MOST_BYTES));
        assert!(kept.find("64").is_none());
        assert!(kept.find("large").is_some());
        kept.keep(answer("too large", MOST_BYTES + 1));
        assert!(kept.find("too large").is_none());
    }
}
