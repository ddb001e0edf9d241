//! Plans and answers as text people can work from. Times are those of the site's clock.

pub(crate) mod calendar;
mod capacity;
pub(crate) mod changes;
pub(crate) mod co2_range;
mod commitment;
mod confidence;
pub(crate) mod figures;
pub(crate) mod limits;
pub(crate) mod locale;
pub(crate) mod measure;
pub(crate) mod names;
mod needs;
mod replan;
pub(crate) mod sheet;
pub(crate) mod steps;
pub(crate) mod typed;
pub(crate) mod units;
mod verdict;
pub(crate) mod visits;
mod what_if;
mod work;

pub(crate) use capacity::{capacity, curve};
pub(crate) use commitment::commitment;
pub(crate) use confidence::confidence;
pub(crate) use replan::replan;
pub(crate) use what_if::what_if;

use scheduler::plan::Plan;
use scheduler::scenario::Scenario;

use figures::day_and_time;
use names::Names;

/// A whole plan: the verdict first, then the work day by day, then what to have on hand.
pub(crate) fn plan(scenario: &Scenario, plan: &Plan) -> String {
    let names = Names::of(scenario);
    let mut text = format!(
        "{}: {} to {}, by the site's clock\n\n",
        scenario.site.name,
        day_and_time(plan.start),
        day_and_time(plan.end)
    );
    text += &verdict::verdict(&names, plan);
    text += &work::days(&names, plan);
    text += &needs::table(&names, plan);
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text() -> String {
        let made = serde_json::from_str(include_str!("sample_plan.json")).unwrap();
        plan(&scheduler::sample::fixed(), &made)
    }

    #[test]
    fn a_plan_reads_as_it_always_did() {
        let text = text();
        let kept = "src/text/sample_plan.txt";
        if std::env::var_os("KEEP").is_some() {
            std::fs::write(kept, &text).unwrap();
        }
        let kept = std::fs::read_to_string(kept).unwrap();
        assert!(
            text == kept,
            "if this is better, run the test with KEEP=1:\n{text}"
        );
    }
}
