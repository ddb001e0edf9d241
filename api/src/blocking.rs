//! Work that takes a while, away from the threads that answer requests.

use crate::domain::Refusal;

/// Does something that takes a while, on a thread that may wait.
pub(crate) async fn slow<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Refusal> {
    let gone = |_| Err(Refusal::internal("a thread went away"));
    actix_web::web::block(work).await.unwrap_or_else(gone)
}
