//! Requests that are sent twice: the caller names each with `Idempotency-Key`, and the second is
//! answered as the first was.

use chrono::Duration;

/// How long an answer is kept for a repeat.
pub(crate) const KEPT: Duration = Duration::hours(24);

/// How long a request may take before it counts as lost.
pub(crate) const PATIENCE: Duration = Duration::minutes(2);

/// Whose request it is, and what they call it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct RepeatKey {
    pub(crate) actor: String,
    pub(crate) key: String,
}

/// The longest name a caller may give a request.
pub(crate) const LONGEST_KEY: usize = 200;

/// An answer that was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Answer {
    pub(crate) status: u16,
    /// The headers that say something about the answer, by name.
    pub(crate) headers: Vec<(String, String)>,
    pub(crate) body: Vec<u8>,
}

/// What is known of a request when it comes in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum PriorRequest {
    /// Nothing; it is noted now.
    New,
    /// It was answered like this.
    Answered(Answer),
    /// It was done, and its answer held a secret that was shown once.
    Shown,
    /// It is being worked on at this moment.
    Underway,
    /// It changed something, but the service was stopped before the answer was kept.
    AnswerLost,
    /// The name was used for something else.
    Other,
}
