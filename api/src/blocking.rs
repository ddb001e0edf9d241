//! Work that takes a while, away from the threads that answer requests.

use std::num::NonZeroUsize;
use std::sync::{Arc, LazyLock};
use std::thread::available_parallelism;

use tokio::sync::Semaphore;

use crate::domain::Refusal;

/// Who may work at a time. A processor stays free for those who ask for little: work that waits its
/// turn is late, and nobody else is.
static TURNS: LazyLock<Arc<Semaphore>> = LazyLock::new(|| {
    let processors = available_parallelism().map_or(1, NonZeroUsize::get);
    Arc::new(Semaphore::new(processors.saturating_sub(1).max(1)))
});

/// Does something that keeps a processor busy for a while, in its turn.
pub(crate) async fn slow<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Refusal> {
    let turn = TURNS.clone().acquire_owned().await;
    let turn = turn.map_err(Refusal::internal)?;
    // The turn ends with the work, also where whoever asked has gone away.
    waiting(move || {
        let done = work();
        drop(turn);
        done
    })
    .await
}

/// Does something that waits for others most of the time.
pub(crate) async fn waiting<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Refusal> {
    let gone = |_| Err(Refusal::internal("a thread went away"));
    actix_web::web::block(work).await.unwrap_or_else(gone)
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicUsize, Ordering};
    use std::time::Duration;

    use super::*;

    /// Twelve ask at once; never more work than have turns, and all come to an end.
    #[actix_web::test]
    async fn slow_work_takes_turns() {
        static BUSY: AtomicUsize = AtomicUsize::new(0);
        let turns = TURNS.available_permits();
        let one = || {
            slow(move || {
                let busy = BUSY.fetch_add(1, Ordering::SeqCst) + 1;
                std::thread::sleep(Duration::from_millis(5));
                BUSY.fetch_sub(1, Ordering::SeqCst);
                Ok(busy)
            })
        };
        let all = futures_util::future::join_all((0..12).map(|_| one())).await;
        let most = all.into_iter().map(Result::unwrap).max();
        assert!(
            most.is_some_and(|most| most <= turns),
            "{most:?} of {turns}"
        );
    }
}
