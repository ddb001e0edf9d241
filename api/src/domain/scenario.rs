//! A scenario assembled from what the service knows about a site.

use scheduler::check::{Checked, Fault};
use scheduler::scenario::{Demand, Horizon, Scenario, Site, Stock};

use super::setup::SetupDocument;
use super::{Refusal, Revised, Revision};

/// What the service knows about a site; setup and stock may be missing still.
#[derive(Debug)]
pub(crate) struct SiteDocuments {
    pub(crate) site: Site,
    pub(crate) setup: Option<Revised<SetupDocument>>,
    pub(crate) stock: Option<Stock>,
    pub(crate) demand: Vec<Demand>,
}

/// A scenario that can be planned, with the revision of the setup it was made from.
pub(crate) fn assemble(
    known: SiteDocuments,
    horizon: Horizon,
) -> Result<(Checked, Revision), Refusal> {
    let id = known.site.id.clone();
    let missing = |field: &str, refusal: Refusal| Fault {
        field: field.to_owned(),
        what: refusal.to_string(),
    };
    let (setup, stock) = match (known.setup, known.stock) {
        (Some(setup), Some(stock)) => (setup, stock),
        (setup, stock) => {
            let no_setup = setup
                .is_none()
                .then(|| missing("setup", Refusal::NoSetup(id.clone())));
            let no_stock = stock
                .is_none()
                .then(|| missing("stock", Refusal::NoStock(id.clone())));
            return Err(Refusal::NotReady(
                no_setup.into_iter().chain(no_stock).collect(),
            ));
        }
    };
    let scenario = Scenario {
        site: known.site,
        setup: setup.document.setup,
        policy: setup.document.policy,
        horizon,
        stock,
        demand: known.demand,
    };
    let checked = scenario
        .check()
        .map_err(|faults| Refusal::Invalid(faults.0.into_iter().map(as_requested).collect()))?;
    Ok((checked, setup.revision))
}

/// The horizon's fields stand at the top of a request.
fn as_requested(fault: Fault) -> Fault {
    match fault.field.strip_prefix("horizon.") {
        Some(field) => Fault {
            field: field.to_owned(),
            ..fault
        },
        None => fault,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_missing_is_named_at_once() {
        let scenario = scheduler::sample::fixed();
        let known = SiteDocuments {
            site: scenario.site,
            setup: None,
            stock: None,
            demand: scenario.demand,
        };
        let Err(Refusal::NotReady(faults)) = assemble(known, scenario.horizon) else {
            panic!("it is not ready");
        };
        let fields: Vec<&str> = faults.iter().map(|f| f.field.as_str()).collect();
        assert_eq!(fields, ["setup", "stock"]);
    }
}
