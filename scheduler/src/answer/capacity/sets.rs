//! The network of a question for whole sets of kegs: so many of each product.

use super::counting::{Counted, nothing_has_worth};
use crate::mapping::SodaNetwork;
use crate::network::{Count, Resource, Task};

/// Makes whole sets of ready kegs at the last point the only thing of worth.
///
/// At that point ready kegs may be put into a set, whatever store and size they are of: a task for
/// each place where kegs stand ready, into a count of the keg type's and a heap of the product's.
/// A set takes the whole of every heap. What is counted are the kegs that are in sets.
pub(super) fn count_sets(soda: &mut SodaNetwork, parts: &[(usize, u32)]) -> Counted {
    let last = soda.net.points() - 1;
    nothing_has_worth(soda);
    let ready = soda.ready.clone();
    let most = f64::from(u16::MAX);
    let mut counted = Counted::new();
    let mut set = Task::named("set", Count::Whole)
        .up_to(most, last..last + 1)
        .worth(1.0);
    for &(product, kegs) in parts {
        let heap = Resource::named(format!("heap_{product}")).at_most(0.0);
        let heap = soda.net.add_resource(heap);
        set = set.per_start(heap, 0, -f64::from(kegs));
        for (of, keg, levels) in ready.iter().filter(|(of, ..)| *of == product) {
            let sum = Resource::named(format!("counted_{of}_{keg}"));
            let sum = soda.net.add_resource(sum);
            for level in levels {
                let task = Task::named(format!("count_{of}_{keg}_{}", level.0), Count::Whole)
                    .up_to(most, last..last + 1)
                    .per_start(*level, 0, -1.0)
                    .per_start(heap, 0, 1.0)
                    .per_start(sum, 0, 1.0);
                soda.net.add_task(task);
            }
            counted.push((*of, *keg, vec![sum]));
        }
    }
    soda.net.add_task(set);
    counted
}
