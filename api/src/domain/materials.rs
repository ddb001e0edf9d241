//! Materials: what a plan uses up, when each runs out, what to order by when.

use chrono::{DateTime, Duration, FixedOffset};
use scheduler::plan::{IceStep, Need, Plan, Step};
use scheduler::scenario::Scenario;
use serde::Serialize;
use utoipa::ToSchema;

use super::plans::PlanId;

/// What the published plan uses up.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct MaterialList {
    /// The plan.
    pub(crate) plan: PlanId,
    /// Each material.
    pub(crate) materials: Vec<MaterialNeed>,
}

/// What a plan makes of one material.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct MaterialNeed {
    /// What the plan uses, what is on hand, and when that runs out.
    #[serde(flatten)]
    pub(crate) need: Need,
    /// What people call it.
    #[schema(example = "Quinine syrup")]
    pub(crate) name: String,
    /// What to order, earliest first.
    pub(crate) orders: Vec<MaterialOrder>,
}

/// Something to order.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct MaterialOrder {
    /// How much, in the material's unit; by the full pack or cylinder where there are such.
    #[schema(minimum = 0, example = 5.0)]
    pub(crate) amount: f64,
    /// When it must be there (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-04T09:00:00+01:00")]
    pub(crate) needed_by: DateTime<FixedOffset>,
    /// When it must be ordered (RFC 3339): by the setup's lead time for ice, by the one that was
    /// asked with for everything else.
    #[schema(value_type = String, format = DateTime, example = "2026-06-03T09:00:00+01:00")]
    pub(crate) order_by: DateTime<FixedOffset>,
    /// Packs or cylinders that is, where the setup says what is in one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, example = 1)]
    pub(crate) packs: Option<u32>,
}

/// What a plan uses up, with orders that take `lead` to arrive.
pub(crate) fn materials(plan: &Plan, scenario: &Scenario, lead: Duration) -> Vec<MaterialNeed> {
    let needs = plan.needs.iter();
    needs
        .map(|need| {
            let pack = pack(scenario, &need.material);
            MaterialNeed {
                name: name(scenario, &need.material),
                orders: if need.material == "ice" {
                    ice(plan)
                } else {
                    short(plan, need, pack, lead).into_iter().collect()
                },
                need: need.clone(),
            }
        })
        .collect()
}

fn name(scenario: &Scenario, material: &str) -> String {
    let listed = scenario.setup.materials.iter();
    let mut listed = listed.filter(|m| m.id.as_str() == material);
    match (listed.next(), material) {
        (Some(material), _) => material.name.clone(),
        (None, "co2") => "CO2".to_owned(),
        (None, other) => other.to_owned(),
    }
}

/// What one pack holds.
fn pack(scenario: &Scenario, material: &str) -> Option<f64> {
    if material == "co2" {
        return Some(scenario.setup.costs.co2_cylinder_kg.kilograms());
    }
    let mut listed = scenario.setup.materials.iter();
    listed
        .find(|m| m.id.as_str() == material)
        .map(|m| m.pack.units())
}

/// The plan has ice delivered at set times.
fn ice(plan: &Plan) -> Vec<MaterialOrder> {
    let ordered = plan.work.iter().filter_map(|item| match item.step {
        Step::Ice(IceStep { kg, order_by }) => Some(MaterialOrder {
            amount: kg,
            needed_by: item.start,
            order_by,
            packs: None,
        }),
        _ => None,
    });
    ordered.collect()
}

/// Of the rest, what is missing must be there when what is on hand runs out.
fn short(plan: &Plan, need: &Need, pack: Option<f64>, lead: Duration) -> Option<MaterialOrder> {
    if need.order <= 0.0 {
        return None;
    }
    let pack = pack.filter(|pack| *pack > 0.0);
    let packs = pack.map(|pack| (need.order / pack - 1e-9).ceil().max(1.0));
    let needed_by = need.runs_out.unwrap_or(plan.start);
    Some(MaterialOrder {
        amount: match (packs, pack) {
            (Some(packs), Some(pack)) => packs * pack,
            _ => need.order,
        },
        needed_by,
        order_by: needed_by - lead,
        packs: packs.map(|packs| packs as u32),
    })
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn what_is_short_is_ordered_by_the_pack_and_in_time() {
        let need: Need = serde_json::from_value(json!({ "material": "co2", "unit": "kg",
            "uses": 30.0, "on_hand": 18.0, "order": 12.0,
            "runs_out": "2026-06-04T09:00:00+01:00" }))
        .unwrap();
        let verdict = json!({ "status": "optimal", "worth": 0.0, "bound": 0.0, "gap": 0.0,
            "cost": 0.0, "currency": "EUR", "served_l": 0.0, "short_l": 0.0, "kegs_gassed": 0,
            "boils": 0, "replayed_minutes": 0 });
        let work = json!([{ "id": "ice-1", "start": "2026-06-05T10:00:00+01:00",
            "end": "2026-06-05T10:00:00+01:00", "hands_min": 0.0, "kind": "ice", "kg": 40.0,
            "order_by": "2026-06-04T10:00:00+01:00" }]);
        let ice = json!({ "material": "ice", "unit": "kg", "uses": 90.0, "on_hand": 70.0,
            "order": 40.0 });
        let plan: Plan = serde_json::from_value(json!({ "site": "bar",
            "start": "2026-06-01T06:00:00+01:00", "end": "2026-06-08T06:00:00+01:00",
            "grid_minutes": 30, "verdict": verdict, "services": [], "work": work,
            "needs": [need, ice] }))
        .unwrap();
        let mut scenario = scheduler::sample::fixed();
        scenario.setup.costs.co2_cylinder_kg = scheduler::scenario::quantities::StockMass::of(9.0);
        let found = materials(&plan, &scenario, Duration::hours(24));
        let order = &found[0].orders[0];
        assert_eq!(order.packs, Some(2));
        assert!((order.amount - 18.0).abs() < 1e-9);
        assert_eq!(order.order_by.to_rfc3339(), "2026-06-03T09:00:00+01:00");
        let ice = &found[1].orders[0];
        assert!((ice.amount - 40.0).abs() < 1e-9);
        assert_eq!(ice.order_by.to_rfc3339(), "2026-06-04T10:00:00+01:00");
    }
}
