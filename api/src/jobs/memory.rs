//! Gives back to the system what the allocator keeps of memory that nobody uses any more.
//!
//! A search, or a request that had to be read whole before it could be refused, may take hundreds
//! of megabytes for a moment. The C library keeps them for later; a small machine needs them now.

use std::time::Duration;

use super::Shared;

/// How often to look.
const PATROL: Duration = Duration::from_secs(1);

/// How much more than at its lowest the process may hold before it is worth the work.
const SLACK_KB: u64 = 32 * 1024;

/// Looks now and then until the service stops.
pub(super) fn give_back(shared: &Shared) {
    let mut lowest = u64::MAX;
    while !shared.stopping() {
        let heard = shared.alarm.heard();
        shared.alarm.wait(heard, PATROL);
        let Some(before) = resident_kb() else {
            continue; // A system that does not say has its own ways.
        };
        if before > lowest.saturating_add(SLACK_KB) {
            trim();
        }
        lowest = lowest.min(resident_kb().unwrap_or(before));
    }
}

/// What the process holds of real memory, where the system tells.
fn resident_kb() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmRSS:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

#[cfg(all(target_os = "linux", target_env = "gnu"))]
fn trim() {
    // SAFETY: glibc's malloc_trim(3) may be called at any time from any thread; it moves nothing
    // that is in use.
    let _ = unsafe { libc::malloc_trim(0) };
}

#[cfg(not(all(target_os = "linux", target_env = "gnu")))]
fn trim() {}

#[cfg(all(test, target_os = "linux", target_env = "gnu"))]
mod tests {
    use super::*;

    #[test]
    fn what_nobody_uses_goes_back() {
        // Small pieces come from the heap; one that stays keeps its top from shrinking by itself.
        let pieces: Vec<Vec<u8>> = (0..100_000).map(|_| vec![1; 1000]).collect();
        let last = vec![1_u8; 1000];
        let full = resident_kb().unwrap();
        drop(pieces);
        trim();
        let after = resident_kb().unwrap();
        assert!(after + 50_000 < full, "{full} kB before, {after} kB after");
        assert_eq!(last.len(), 1000);
    }
}
