//! A byte budget: how much of all bodies is held at a moment, with a share for each caller.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Bytes that may be held at a moment, by one caller and by all together.
#[derive(Debug, Clone)]
pub(crate) struct Budget {
    share: usize,
    whole: usize,
    held: Arc<Mutex<Held>>,
}

#[derive(Debug, Default)]
struct Held {
    whole: usize,
    callers: HashMap<String, usize>,
}

/// Why there is no room.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Full {
    /// The caller holds all of their share.
    Share,
    /// All callers together hold all there is.
    Whole,
}

impl Budget {
    pub(super) fn new(share: usize, whole: usize) -> Self {
        let held = Arc::default();
        Self { share, whole, held }
    }

    /// Takes so many bytes, all or none.
    pub(super) fn take(&self, caller: &str, bytes: usize) -> Result<(), Full> {
        let mut held = self.held();
        let own = held.callers.get(caller).copied().unwrap_or_default();
        if own + bytes > self.share {
            return Err(Full::Share);
        }
        if held.whole + bytes > self.whole {
            return Err(Full::Whole);
        }
        held.whole += bytes;
        held.callers.insert(caller.to_owned(), own + bytes);
        Ok(())
    }

    /// Gives back what was taken.
    pub(super) fn give(&self, caller: &str, bytes: usize) {
        let mut held = self.held();
        held.whole = held.whole.saturating_sub(bytes);
        let Some(own) = held.callers.get_mut(caller) else {
            return;
        };
        *own = own.saturating_sub(bytes);
        if *own == 0 {
            held.callers.remove(caller);
        }
    }

    fn held(&self) -> MutexGuard<'_, Held> {
        self.held.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_caller_has_a_share_and_all_have_the_whole() {
        let budget = Budget::new(10, 15);
        assert_eq!(budget.take("a", 10), Ok(()));
        assert_eq!(budget.take("a", 1), Err(Full::Share));
        assert_eq!(budget.take("b", 6), Err(Full::Whole));
        assert_eq!(budget.take("b", 5), Ok(()));
        budget.give("a", 10);
        assert_eq!(budget.take("b", 5), Ok(()));
        budget.give("b", 10);
        assert!(budget.held().callers.is_empty());
        assert_eq!(budget.held().whole, 0);
    }
}
