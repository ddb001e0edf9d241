//! Refusals for asking too often are answered late.
//!
//! Whoever takes no heed of `Retry-After` asks again as soon as it is answered. Answered at once, a
//! few hundred of such callers ask so often that everybody else waits behind them. A connection
//! that waits costs next to nothing.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use actix_web::Error;
use actix_web::body::MessageBody;
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::StatusCode;
use actix_web::middleware::Next;

/// How late a refusal is.
const LATE: Duration = Duration::from_secs(1);

/// How many refusals wait at a time; more are answered at once, so that waiting has a bound.
const MOST: usize = 2048;

static WAITING: AtomicUsize = AtomicUsize::new(0);

/// One refusal that waits, whether its caller stays or goes away.
struct Waiting;

impl Waiting {
    fn begin() -> Option<Self> {
        let more = |waiting| (waiting < MOST).then_some(waiting + 1);
        let free = WAITING.fetch_update(Ordering::Relaxed, Ordering::Relaxed, more);
        free.is_ok().then_some(Self)
    }
}

impl Drop for Waiting {
    fn drop(&mut self) {
        let _ = WAITING.fetch_sub(1, Ordering::Relaxed);
    }
}

/// Lets a 429 wait before it is sent.
pub(crate) async fn refuse_slowly<B: MessageBody>(
    request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<B>, Error> {
    let response = next.call(request).await;
    let status = match &response {
        Ok(response) => response.status(),
        Err(error) => error.as_response_error().status_code(),
    };
    if status == StatusCode::TOO_MANY_REQUESTS
        && let Some(_waiting) = Waiting::begin()
    {
        actix_web::rt::time::sleep(LATE).await;
    }
    response
}
