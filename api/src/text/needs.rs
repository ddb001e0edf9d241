//! What to have on hand, as a table.

use scheduler::plan::{Need, Plan};

use super::figures::{day_and_time, number};
use super::names::Names;

pub(super) fn table(names: &Names<'_>, plan: &Plan) -> String {
    let mut text = "HAVE ON HAND\n".to_owned();
    if plan.needs.is_empty() {
        return text + "  Nothing is used up.\n";
    }
    text += &format!(
        "  {:<24} {:>10} {:>10} {:>10}  {}\n",
        "", "uses", "on hand", "order", "runs out"
    );
    for need in &plan.needs {
        text += &row(names, need);
    }
    text
}

fn row(names: &Names<'_>, need: &Need) -> String {
    let material = match need.material.as_str() {
        "ascorbate" => names.agent(),
        "co2" => "CO2",
        other => names.material(other),
    };
    let amount = |x: f64| format!("{} {}", number(x), need.unit);
    let mut runs_out = need.runs_out.map_or("no".to_owned(), day_and_time);
    if need.arrives > 0.0 {
        runs_out += &format!(" ({} on its way)", amount(need.arrives));
    }
    format!(
        "  {material:<24} {:>10} {:>10} {:>10}  {runs_out}\n",
        amount(need.uses),
        amount(need.on_hand),
        amount(need.order)
    )
}
