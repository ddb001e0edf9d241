//! Places for uploads that are read while they arrive: each takes a thread that waits, so there are
//! few, and a caller gets no more than a share of them.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tokio::time::timeout;

use crate::domain::Refusal;

/// Uploads that are read at the same time.
const PLACES: usize = 16;

/// Of these, the most for one caller.
const SHARE: usize = 4;

/// Callers that are remembered before those who have gone are forgotten.
const REMEMBERED: usize = 100;

/// The places there are.
#[derive(Debug)]
pub(crate) struct Uploads {
    places: Arc<Semaphore>,
    callers: Mutex<HashMap<String, Arc<Semaphore>>>,
    patience: Duration,
}

/// A place that was given; it is free again when this goes.
#[derive(Debug)]
pub(crate) struct UploadPermit {
    _share: OwnedSemaphorePermit,
    _place: OwnedSemaphorePermit,
}

impl Uploads {
    pub(crate) fn new(patience: Duration) -> Self {
        Self {
            places: Arc::new(Semaphore::new(PLACES)),
            callers: Mutex::default(),
            patience,
        }
    }

    /// Waits for a place; nothing of the upload is read meanwhile.
    ///
    /// # Errors
    /// The caller, or all callers together, keep every place for longer than somebody waits.
    pub(crate) async fn place(&self, caller: &str) -> Result<UploadPermit, Refusal> {
        let share = self.share(caller);
        let both = async {
            let share = share.acquire_owned().await;
            let place = Arc::clone(&self.places).acquire_owned().await;
            share.and_then(|share| Ok((share, place?)))
        };
        let found = timeout(self.patience, both).await;
        let (share, place) = found
            .map_err(|_| Refusal::TooMany { seconds: 5 })?
            .map_err(Refusal::internal)?;
        Ok(UploadPermit {
            _share: share,
            _place: place,
        })
    }

    fn share(&self, caller: &str) -> Arc<Semaphore> {
        let mut callers = self.callers.lock().unwrap_or_else(PoisonError::into_inner);
        if callers.len() > REMEMBERED {
            // Whoever holds a place or waits for one holds the semaphore too.
            callers.retain(|_, share| Arc::strong_count(share) > 1);
        }
        let share = callers.entry(caller.to_owned());
        Arc::clone(share.or_insert_with(|| Arc::new(Semaphore::new(SHARE))))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[actix_web::test]
    async fn a_caller_who_keeps_all_of_a_share_holds_up_nobody_else() {
        let uploads = Uploads::new(Duration::from_millis(10));
        let mut kept = Vec::new();
        for _ in 0..SHARE {
            kept.push(uploads.place("a").await.unwrap());
        }
        let refused = uploads.place("a").await.unwrap_err();
        assert!(matches!(refused, Refusal::TooMany { .. }));
        assert!(uploads.place("b").await.is_ok());
        kept.pop();
        assert!(uploads.place("a").await.is_ok());
    }

    #[actix_web::test]
    async fn callers_who_have_gone_are_forgotten() {
        let uploads = Uploads::new(Duration::from_secs(60));
        let _kept = uploads.place("stays").await.unwrap();
        for n in 0..3 * REMEMBERED {
            drop(uploads.place(&n.to_string()).await.unwrap());
        }
        let callers = uploads.callers.lock().unwrap();
        assert!(callers.len() <= REMEMBERED + 1 && callers.contains_key("stays"));
    }
}
