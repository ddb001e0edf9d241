//! Telling how far a search has come, on standard error.

use std::cell::Cell;
use std::io::{IsTerminal, Write};
use std::time::{Duration, Instant};

use scheduler::milp::Progress;
use scheduler::search;

/// How often a terminal's line is refreshed.
const REFRESH: Duration = Duration::from_millis(100);
/// How often a plain line is written where there is no terminal.
const LINE: Duration = Duration::from_secs(5);

/// Shows progress: one line that changes on a terminal, a few plain lines elsewhere.
pub(crate) struct Ticker {
    terminal: bool,
    next: Cell<Instant>,
    begun: Instant,
}

impl Ticker {
    /// Says what begins.
    pub(crate) fn start(what: &str) -> Self {
        eprintln!("{what}");
        let begun = Instant::now();
        let terminal = std::io::stderr().is_terminal();
        Self {
            terminal,
            next: Cell::new(begun + if terminal { REFRESH } else { LINE }),
            begun,
        }
    }

    /// Shows how far it is, if it is time for that.
    pub(crate) fn show(&self, progress: Progress) {
        let now = Instant::now();
        if now < self.next.get() {
            return;
        }
        let line = line(progress);
        let mut err = std::io::stderr().lock();
        // Progress is a courtesy: a closed terminal must not end the search.
        if self.terminal {
            self.next.set(now + REFRESH);
            let _ = write!(err, "\r\x1b[K{line}").and_then(|()| err.flush());
        } else {
            self.next.set(now + LINE);
            let _ = writeln!(err, "{line}");
        }
    }

    /// Says that it is over.
    pub(crate) fn finish(self) {
        let seconds = self.begun.elapsed().as_secs_f64();
        let clear = if self.terminal { "\r\x1b[K" } else { "" };
        eprintln!("{clear}searched for {seconds:.1} s");
    }
}

fn line(progress: Progress) -> String {
    let known = |x: Option<f64>| x.map_or("none yet".to_owned(), |x| format!("{x:.2}"));
    let gap = progress
        .best
        .zip(progress.bound)
        .map_or(String::new(), |(best, bound)| {
            format!(", gap {:.3} %", search::gap(best, bound) * 100.0)
        });
    format!(
        "{:6.1} s   best {}, at most {}{gap}",
        progress.seconds,
        known(progress.best),
        known(progress.bound)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_says_what_is_known() {
        let early = Progress {
            seconds: 0.4,
            best: None,
            bound: Some(8219.0),
        };
        assert_eq!(line(early), "   0.4 s   best none yet, at most 8219.00");
        let late = Progress {
            best: Some(8210.781),
            ..early
        };
        assert_eq!(line(late), "   0.4 s   best 8210.78, at most 8219.00, gap 0.100 %");
    }
}
