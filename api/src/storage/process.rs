//! The name of this process, by which others tell its work from their own.

use std::sync::LazyLock;

use uuid::Uuid;

static NAME: LazyLock<String> = LazyLock::new(|| format!("fizzwright {}", Uuid::now_v7()));

/// The name of this process; no other ever has it.
pub(super) fn name() -> &'static str {
    &NAME
}
