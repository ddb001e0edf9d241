//! The queue of questions: callers take turns, equal questions are one, and who hangs up is left out.
//!
//! Pure: no threads and no clock.

use std::any::Any;
use std::collections::HashMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use tokio::sync::oneshot;

/// An answer, of a type that only those who asked know.
pub(super) type Answer = Arc<dyn Any + Send + Sync>;

/// The search for an answer; it looks at the flag to see whether anybody still wants it.
pub(super) type Work = Box<dyn FnOnce(&AtomicBool) -> Answer + Send>;

/// Different questions a caller may have open at a time.
pub(super) const SHARE: usize = 17;

/// Different questions all callers may have open at a time.
pub(super) const WHOLE: usize = 136;

/// Callers whose last turn is remembered before those with no question open are forgotten.
const REMEMBERED: usize = 1000;

/// Why a question is not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Full {
    /// The caller has a share of questions open.
    Share,
    /// All callers together have all there may be.
    Whole,
}

/// Questions that wait or are being worked out.
#[derive(Default)]
pub(super) struct Queue {
    questions: Vec<Question>,
    /// When each caller last had a turn.
    turns: HashMap<String, u64>,
    turn: u64,
    next: u64,
}

struct Question {
    id: u64,
    /// What is asked; nothing once nobody wants it any more, so that nobody joins.
    key: Option<String>,
    askers: Vec<Asker>,
    cancel: Arc<AtomicBool>,
    /// There until it is taken up.
    work: Option<Work>,
    /// Whose turn it is worked out in.
    turn_of: Option<String>,
}

struct Asker {
    id: u64,
    caller: String,
    reply: oneshot::Sender<Answer>,
}

/// A question that somebody works out now.
pub(super) struct Taken {
    pub(super) question: u64,
    pub(super) work: Work,
    pub(super) cancel: Arc<AtomicBool>,
}

impl Queue {
    /// Adds somebody who asks; what they ask is added if nobody else asks the same already.
    pub(super) fn ask(
        &mut self,
        caller: &str,
        key: String,
        work: impl FnOnce() -> Work,
        reply: oneshot::Sender<Answer>,
    ) -> Result<u64, Full> {
        self.next += 1;
        let id = self.next;
        let asker = Asker {
            id,
            caller: caller.to_owned(),
            reply,
        };
        let mut equal = self.questions.iter_mut();
        if let Some(equal) = equal.find(|question| question.key.as_ref() == Some(&key)) {
            equal.askers.push(asker);
            return Ok(id);
        }
        let open = self.questions.iter().filter(|q| q.is_of(caller)).count();
        if open >= SHARE {
            return Err(Full::Share);
        }
        if self.questions.len() >= WHOLE {
            return Err(Full::Whole);
        }
        self.questions.push(Question {
            id,
            key: Some(key),
            askers: vec![asker],
            cancel: Arc::default(),
            work: Some(work()),
            turn_of: None,
        });
        Ok(id)
    }

    /// Leaves somebody out who has hung up. A question nobody asks any more ends.
    pub(super) fn leave(&mut self, asker: u64) {
        for question in &mut self.questions {
            question.askers.retain(|found| found.id != asker);
            if question.askers.is_empty() {
                question.key = None;
                question.cancel.store(true, Ordering::Relaxed);
            }
        }
        self.questions
            .retain(|question| question.key.is_some() || question.work.is_none());
    }

    /// Takes up the question of whoever has waited longest for a turn. One of a caller's questions
    /// is worked out at a time.
    pub(super) fn take(&mut self) -> Option<Taken> {
        let busy: Vec<&String> = self
            .questions
            .iter()
            .filter_map(|question| question.turn_of.as_ref())
            .collect();
        let waiting = self.questions.iter().enumerate();
        let waiting = waiting.filter(|(_, question)| question.work.is_some());
        let turns = waiting.flat_map(|(n, question)| {
            let callers = question.askers.iter().map(|asker| &asker.caller);
            let last = |caller: &String| self.turns.get(caller).copied().unwrap_or_default();
            callers.map(move |caller| (last(caller), n, caller))
        });
        let (_, n, caller) = turns
            .filter(|(_, _, caller)| !busy.contains(caller))
            .min()?;
        let caller = caller.clone();
        let question = self.questions.get_mut(n)?;
        let taken = Taken {
            question: question.id,
            work: question.work.take()?,
            cancel: Arc::clone(&question.cancel),
        };
        question.turn_of = Some(caller.clone());
        self.had_a_turn(caller);
        Some(taken)
    }

    fn had_a_turn(&mut self, caller: String) {
        self.turn += 1;
        self.turns.insert(caller, self.turn);
        if self.turns.len() > REMEMBERED {
            let questions = &self.questions;
            self.turns
                .retain(|caller, _| questions.iter().any(|question| question.is_of(caller)));
        }
    }

    /// Gives everybody who asked a question its answer; none where there is none.
    pub(super) fn answer(&mut self, question: u64, answer: Option<&Answer>) {
        let at = self.questions.iter().position(|found| found.id == question);
        let Some(at) = at else {
            return;
        };
        for asker in self.questions.remove(at).askers {
            if let Some(answer) = answer {
                // Somebody who has just hung up does not listen any more.
                let _ = asker.reply.send(Arc::clone(answer));
            }
        }
    }

    /// Ends everything.
    pub(super) fn stop(&mut self) {
        for question in self.questions.drain(..) {
            question.cancel.store(true, Ordering::Relaxed);
        }
    }
}

impl Question {
    fn is_of(&self, caller: &str) -> bool {
        self.askers.iter().any(|asker| asker.caller == caller)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Asks, and gives the asker with the way the answer comes back.
    fn ask(
        queue: &mut Queue,
        caller: &str,
        key: &str,
    ) -> Result<(u64, oneshot::Receiver<Answer>), Full> {
        let (reply, answer) = oneshot::channel();
        let named = key.to_owned();
        let work = || -> Work { Box::new(|_| Arc::new(named)) };
        let asker = queue.ask(caller, key.to_owned(), work, reply)?;
        Ok((asker, answer))
    }

    /// What the question says that is taken up next.
    fn next(queue: &mut Queue) -> Option<(u64, String)> {
        let taken = queue.take()?;
        let answer = (taken.work)(&taken.cancel);
        let said = answer.downcast_ref::<String>().cloned().unwrap();
        Some((taken.question, said))
    }

    #[test]
    fn callers_take_turns_and_have_one_question_worked_out_at_a_time() {
        let mut queue = Queue::default();
        let mut kept = Vec::new();
        for key in ["a1", "a2", "a3", "b1", "c1"] {
            kept.push(ask(&mut queue, &key[..1], key).unwrap());
        }
        let (first, said) = next(&mut queue).unwrap();
        assert_eq!(said, "a1");
        let (second, said) = next(&mut queue).unwrap();
        assert_eq!(said, "b1");
        queue.answer(first, None);
        queue.answer(second, None);
        // Who has had a turn waits until everybody has.
        let (third, said) = next(&mut queue).unwrap();
        assert_eq!(said, "c1");
        kept.push(ask(&mut queue, "c", "c2").unwrap());
        let (fourth, said) = next(&mut queue).unwrap();
        assert_eq!(said, "a2");
        assert!(next(&mut queue).is_none(), "both callers are served");
        queue.answer(third, None);
        queue.answer(fourth, None);
        assert_eq!(next(&mut queue).unwrap().1, "c2");
        assert_eq!(next(&mut queue).unwrap().1, "a3");
    }

    #[test]
    fn a_caller_has_a_share_and_the_others_the_rest() {
        let mut queue = Queue::default();
        let mut kept = Vec::new();
        for n in 0..SHARE {
            kept.push(ask(&mut queue, "a", &format!("a{n}")).unwrap());
        }
        assert_eq!(ask(&mut queue, "a", "more").err(), Some(Full::Share));
        assert!(ask(&mut queue, "a", "a0").is_ok(), "it is there already");
        for n in 0..WHOLE - SHARE {
            kept.push(ask(&mut queue, &format!("c{n}"), &format!("c{n}")).unwrap());
        }
        assert_eq!(ask(&mut queue, "d", "d").err(), Some(Full::Whole));
    }

    #[test]
    fn equal_questions_are_worked_out_once_for_all_who_ask() {
        let mut queue = Queue::default();
        let (_, mut one) = ask(&mut queue, "a", "same").unwrap();
        let (_, mut other) = ask(&mut queue, "b", "same").unwrap();
        let taken = queue.take().unwrap();
        assert!(queue.take().is_none());
        let (_, mut late) = ask(&mut queue, "c", "same").unwrap();
        let answer = (taken.work)(&taken.cancel);
        queue.answer(taken.question, Some(&answer));
        for answer in [&mut one, &mut other, &mut late] {
            assert!(answer.try_recv().is_ok());
        }
        assert!(queue.questions.is_empty());
    }

    #[test]
    fn a_question_ends_when_all_who_asked_have_hung_up() {
        let mut queue = Queue::default();
        let (one, _answer) = ask(&mut queue, "a", "same").unwrap();
        let (other, _answer) = ask(&mut queue, "b", "same").unwrap();
        let (waiting, _answer) = ask(&mut queue, "a", "waits").unwrap();
        let taken = queue.take().unwrap();
        queue.leave(one);
        assert!(!taken.cancel.load(Ordering::Relaxed));
        queue.leave(other);
        assert!(taken.cancel.load(Ordering::Relaxed));
        // What is about to end is joined by nobody.
        let (again, _answer) = ask(&mut queue, "b", "same").unwrap();
        assert_eq!(next(&mut queue).unwrap().1, "same");
        queue.leave(waiting);
        queue.leave(again);
        queue.answer(taken.question, None);
        assert_eq!(queue.questions.len(), 1, "the one that is worked out");
    }
}
