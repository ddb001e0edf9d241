//! A relaxation whose prices tell what is scarce, and that can be solved again with one more.

use std::borrow::Cow;
use std::ops::Range;

use crate::answer::problem::Problem;
use crate::decode::Context;
use crate::mapping::{Limit, OneMore, Scarce, SodaNetwork};
use crate::milp::{After, Formulation, Settings, Solved, WarmStart, Watch, solve};

/// What a stretch was cut from.
pub(super) struct Settled<'a> {
    /// Values of the whole.
    pub(super) values: &'a [f64],
    /// Points of the stretch.
    pub(super) span: Range<usize>,
}

/// The relaxation of a whole horizon, or of a stretch of it with everything before as it was found.
pub(super) struct Ground<'a> {
    pub(super) context: Context<'a>,
    pub(super) soda: &'a SodaNetwork,
    /// Its program; of a stretch, that of the stretch.
    pub(super) form: Cow<'a, Formulation>,
    pub(super) relaxed: Cow<'a, Solved>,
    /// Of a stretch: what it was cut from.
    settled: Option<Settled<'a>>,
    watch: Watch<'a>,
}

impl<'a> Ground<'a> {
    pub(super) fn whole(problem: Problem<'a>, relaxed: &'a Solved, watch: Watch<'a>) -> Self {
        Self {
            context: problem.context,
            soda: problem.soda,
            form: Cow::Borrowed(problem.form),
            relaxed: Cow::Borrowed(relaxed),
            settled: None,
            watch,
        }
    }

    /// A stretch, relaxed by itself; none if that takes too long.
    pub(super) fn stretch(
        problem: Problem<'a>,
        settled: Settled<'a>,
        seconds: f64,
        watch: Watch<'a>,
    ) -> Option<Self> {
        let Settled { values, span } = &settled;
        let form = problem.form.slice(span, values, After::Open).form;
        let relaxed = relaxed(&form, WarmStart::Nothing, seconds, watch)?;
        Some(Self {
            context: problem.context,
            soda: problem.soda,
            form: Cow::Owned(form),
            relaxed: Cow::Owned(relaxed),
            settled: Some(settled),
            watch,
        })
    }

    fn span(&self) -> Range<usize> {
        let whole = 0..self.soda.net.points();
        self.settled
            .as_ref()
            .map_or(whole, |settled| settled.span.clone())
    }

    /// What it may be worth to have more of, best first. Where hands are short, also the hour in
    /// which they are most.
    pub(super) fn promising(&self) -> Vec<OneMore> {
        let scenario = self.context.scenario;
        let limits = self.soda.promising(scenario, &self.form, &self.relaxed);
        let all = limits.into_iter().flat_map(|limit| {
            let hour = self.best_hour(&limit);
            [Some(self.one_more(limit)), hour]
        });
        all.flatten().collect()
    }

    fn one_more(&self, limit: Limit) -> OneMore {
        let mut within = self.span();
        if let Some((point, _)) = self.soda.best_point(&self.form, &self.relaxed, &limit) {
            within.start = point;
        } else if self.soda.net.resource(limit.resource).carries && within.start > 0 {
            // A point at which the level can change anyway: the program keeps its columns.
            let mut levels = self.form.levels(limit.resource).iter();
            within.start = levels.next().map_or(within.start, |level| level.point);
        }
        OneMore { limit, within }
    }

    /// One more of it, in words; when it must be there, if that is not the start.
    pub(super) fn called(&self, more: &OneMore) -> String {
        let called = more.limit.scarce.one_more(self.context.scenario);
        match more.within.start {
            by if by > 0 && more.limit.scarce.is_used_up() => {
                let by = self.context.stamp(by).format("%a %-d %B %H:%M");
                format!("{called} by {by}")
            }
            _ => called,
        }
    }

    /// The hour in which prices of hands are highest.
    fn best_hour(&self, hands: &Limit) -> Option<OneMore> {
        if hands.scarce != Scarce::Hands {
            return None;
        }
        let scenario = self.context.scenario;
        let prices = self.soda.prices(scenario, &self.form, &self.relaxed, hands);
        let steps = self.context.timeline.steps_for(60.0);
        let hours = prices.windows(steps).filter_map(|hour| {
            let (first, last) = (&hour.first()?.0, &hour.last()?.0);
            let unbroken = last.end - first.start == steps;
            let price: f64 = hour.iter().map(|(_, price)| price).sum();
            unbroken.then_some((first.start..last.end, price))
        });
        // The earliest of those that are worth the same.
        let best = hours.reduce(|best, hour| if hour.1 > best.1 { hour } else { best });
        let (within, _) = best.filter(|(_, price)| *price > 1e-6)?;
        let limit = Limit {
            scarce: Scarce::HourOfHands,
            ..hands.clone()
        };
        Some(OneMore { limit, within })
    }

    /// The same with one more of something; none if that cannot be told in time.
    pub(super) fn with(
        &self,
        more: &OneMore,
        seconds: f64,
    ) -> Option<(SodaNetwork, Formulation, Solved)> {
        if seconds <= 0.0 || self.watch.cancelled() {
            return None;
        }
        let scenario = self.context.scenario;
        let mut soda = self.soda.clone();
        soda.add_one(scenario, more);
        let mut form = soda.formulate(scenario, self.context.timeline);
        if let Some(Settled { values, span }) = &self.settled {
            // What is settled must mean the same in both programs.
            if form.program.columns.len() != values.len() {
                return None;
            }
            form = form.slice(span, values, After::Open).form;
        }
        let from = self.relaxed.basis.as_ref();
        let from = from.map_or(WarmStart::Nothing, WarmStart::Basis);
        let solved = relaxed(&form, from, seconds, self.watch)?;
        Some((soda, form, solved))
    }
}

fn relaxed(
    form: &Formulation,
    from: WarmStart<'_>,
    seconds: f64,
    watch: Watch<'_>,
) -> Option<Solved> {
    let settings = Settings {
        seconds,
        ..Settings::default()
    };
    let quiet = Watch::quiet(watch.cancel);
    let solved = solve(&form.program.relaxed(), settings, from, quiet).ok()?;
    solved.stopped.is_none().then_some(solved)
}
