//! The verdict: what is served, what is short and why, and how well that is known.

use scheduler::plan::{Plan, Reason, Reserve, Served, Status, Verdict};
use scheduler::scenario::DemandKind;

use super::figures::{counted, day_and_time, number, paragraph};
use super::limits::limit;
use super::names::Names;

/// Litres below this are a rounding error, not a shortage.
const NOTHING_L: f64 = 0.005;

pub(super) fn verdict(names: &Names<'_>, plan: &Plan) -> String {
    let verdict = &plan.verdict;
    let short = plan.services.iter().filter(|s| s.short_l > NOTHING_L);
    let mut short: Vec<&Served> = short.collect();
    short.sort_by_key(|line| line.due);
    let mut text = "VERDICT\n".to_owned();
    text += &paragraph(2, &served(plan, verdict, short.len()));
    text += &paragraph(2, &proof(verdict));
    text += &paragraph(
        2,
        &format!(
            "It costs {:.2} {} in hands, heat, ice, CO2 and washing. The replay walked {} minutes \
             of it and found everything in order.",
            verdict.cost, verdict.currency, verdict.replayed_minutes
        ),
    );
    text.push('\n');
    text += &shortages(names, &short);
    text += &instead(names, plan);
    text + &reserves(names, plan)
}

/// Each line that falls short. Reasons that hold for several in a row are told once.
fn shortages(names: &Names<'_>, short: &[&Served]) -> String {
    if short.is_empty() {
        return String::new();
    }
    let mut text = "SHORT\n".to_owned();
    for alike in short.chunk_by(|one, next| one.why == next.why) {
        text.extend(alike.iter().map(|line| shortage(names, line)));
        text += &reasons(&alike[0].why);
    }
    text + "\n"
}

/// What limits; where no one thing does, that is said.
fn reasons(why: &[Reason]) -> String {
    if why.is_empty() {
        return paragraph(
            6,
            "no one thing more was found to help: parts of kegs and boils would do, whole ones do \
             not fit into the hours there are",
        );
    }
    why.iter().map(limit).collect()
}

/// What is served in place of something else.
fn instead(names: &Names<'_>, plan: &Plan) -> String {
    let lines: Vec<&Served> = plan
        .services
        .iter()
        .filter(|s| !s.instead.is_empty())
        .collect();
    if lines.is_empty() {
        return String::new();
    }
    let mut text = "SERVED INSTEAD\n".to_owned();
    for line in lines {
        for other in &line.instead {
            let sentence = format!(
                "{}: {} L of {} in place of {} [{}]",
                day_and_time(line.due),
                number(other.litres),
                names.product(&other.product),
                names.product(&line.product),
                line.demand
            );
            text += &paragraph(2, &sentence);
        }
    }
    text + "\n"
}

/// The ends of days at which less stands ready than should.
fn reserves(names: &Names<'_>, plan: &Plan) -> String {
    if plan.reserves.is_empty() {
        return String::new();
    }
    let missing = |r: &&Reserve| r.short_l > NOTHING_L;
    let mut text = "SAFETY STOCK\n".to_owned();
    if !plan.reserves.iter().any(|r| missing(&r)) {
        text += "  Stands ready at the end of each day.\n";
    }
    for reserve in plan.reserves.iter().filter(missing) {
        let sentence = format!(
            "{}: {} L of {} stand ready, {} L should",
            day_and_time(reserve.at),
            number(reserve.kept_l),
            names.product(&reserve.product),
            number(reserve.wanted_l)
        );
        text += &paragraph(2, &sentence);
    }
    text + "\n"
}

fn served(plan: &Plan, verdict: &Verdict, short: usize) -> String {
    let effort = format!(
        "{} and {}",
        counted(verdict.kegs_gassed, "gassed keg"),
        counted(verdict.boils, "boil")
    );
    let lines = plan.services.len();
    if short == 0 {
        return format!(
            "Everything is served: {} L for {lines} lines of demand, with {effort}.",
            number(verdict.served_l)
        );
    }
    format!(
        "{} L are served and {} L are not: {short} of {lines} lines of demand fall short, with \
         {effort}.",
        number(verdict.served_l),
        number(verdict.short_l)
    )
}

fn proof(verdict: &Verdict) -> String {
    let found = match verdict.status {
        Status::Optimal => "This is the best plan, to a hundredth of a per cent",
        Status::WithinGap => "The plan is as good as was asked for",
        Status::GapOpen => "The search went as wide as it goes",
        Status::StoppedByTime => "The time limit came before the proof",
        Status::StoppedByRequest => "The search was stopped before the proof",
    };
    let Verdict {
        worth, bound, gap, ..
    } = verdict;
    format!(
        "{found}: its score is {worth:.2}, and no plan can score more than {bound:.2}, a gap of \
         {:.3} %.",
        gap * 100.0
    )
}

fn shortage(names: &Names<'_>, line: &Served) -> String {
    let booked = match line.kind {
        DemandKind::Booking => " (booked)",
        DemandKind::Forecast => "",
    };
    paragraph(
        2,
        &format!(
            "{}: {}{booked}, {} L wanted, {} L served, {} L short [{}]",
            day_and_time(line.due),
            names.product(&line.product),
            number(line.wanted_l),
            number(line.served_l),
            number(line.short_l),
            line.demand
        ),
    )
}
