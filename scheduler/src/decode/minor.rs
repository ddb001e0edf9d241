//! Washing, deliveries, returns and what is poured away, as work items.

use chrono::Duration;

use super::{Context, Start, Writer, round};
use crate::mapping::Work;
use crate::plan::{CylinderStep, IceStep, ReturnStep, StaleStep, Step, WashStep};

pub(super) fn write(context: Context<'_>, starts: &[Start], writer: &mut Writer) {
    for start in starts {
        if let Some((step, steps, hands)) = step(context, start) {
            let times = (context.stamp(start.step), context.stamp(start.step + steps));
            writer.add(times, hands, step);
        }
    }
}

/// The step, how many grid steps it lasts, and minutes of hands.
fn step(context: Context<'_>, start: &Start) -> Option<(Step, usize, f64)> {
    let setup = &context.scenario.setup;
    let kegs = start.count;
    let made = match start.work {
        Work::Wash { keg } => {
            let steps = context
                .timeline
                .steps_for(setup.wash.minutes.minutes())
                .max(1);
            let hands = f64::from(kegs) * setup.wash.hands_min.minutes();
            let keg_type = setup.keg_types[keg].id.clone();
            (Step::Wash(WashStep { keg_type, kegs }), steps, hands)
        }
        Work::Return { product, keg } => {
            let step = Step::Return(ReturnStep {
                product: setup.products[product].id.clone(),
                keg_type: setup.keg_types[keg].id.clone(),
                kegs,
            });
            (step, 0, 0.0)
        }
        Work::Stale { product, keg } => {
            let step = Step::Stale(StaleStep {
                product: setup.products[product].id.clone(),
                keg_type: setup.keg_types[keg].id.clone(),
                litres: round(start.size, 2),
            });
            (step, 0, 0.0)
        }
        Work::BuyIce => {
            let purchase = setup.ice.purchase.as_ref()?;
            let lead = purchase.lead_min.minutes();
            let ordered = Duration::seconds((lead * 60.0) as i64);
            let step = Step::Ice(IceStep {
                // Rounded up, so that nothing planned with it runs short.
                kg: ((start.size * 10.0).ceil() / 10.0).min(purchase.largest_kg.kilograms()),
                order_by: context.stamp(start.step) - ordered,
            });
            (step, 0, 0.0)
        }
        Work::ChangeCylinder => {
            let cylinders = setup.cylinders.as_ref()?;
            let each = cylinders.change_min.minutes();
            let step = Step::Cylinder(CylinderStep {
                cylinders: kegs,
                co2_kg_each: round(cylinders.usable_kg(setup.costs.co2_cylinder_kg), 2),
            });
            let steps = context.timeline.steps_for(each);
            (step, steps, f64::from(kegs) * each)
        }
        _ => return None,
    };
    Some(made)
}
