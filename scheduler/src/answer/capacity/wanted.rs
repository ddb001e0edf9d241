//! Which kegs a capacity question counts.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::answer::NoAnswer;
use crate::check::Checked;
use crate::scenario::ProductId;

/// Kegs of one product in a set.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MixPart {
    /// The product.
    pub product: ProductId,
    /// Kegs of it in one set.
    #[schema(minimum = 1, maximum = 100, example = 2)]
    pub kegs: u32,
}

/// The most kegs of one product in a set.
const MOST: u32 = 100;

/// Which kegs count, with products by their place in the setup.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Wanted {
    /// All, each alike.
    Any,
    /// Those of one product.
    Only(usize),
    /// Whole sets of these.
    Sets(Vec<(usize, u32)>),
}

impl Wanted {
    /// What is asked for.
    ///
    /// # Errors
    /// [`NoAnswer::BadQuestion`] if a product is unknown, or a set makes no sense.
    pub(super) fn of(
        scenario: &Checked,
        product: Option<&ProductId>,
        mix: &[MixPart],
    ) -> Result<Self, NoAnswer> {
        match product {
            Some(_) if !mix.is_empty() => Err(bad(
                "mix",
                "a product is named too; one of the two is allowed",
            )),
            Some(id) => Ok(Self::Only(position(scenario, "product", id)?)),
            None if mix.is_empty() => Ok(Self::Any),
            None => sets(scenario, mix),
        }
    }

    /// Whether kegs of a product count.
    pub(super) fn counts(&self, product: usize) -> bool {
        match self {
            Self::Any => true,
            Self::Only(wanted) => *wanted == product,
            Self::Sets(parts) => parts.iter().any(|(wanted, _)| *wanted == product),
        }
    }

    /// Kegs in what is counted: one, or those of a set.
    pub(super) fn kegs_of_one(&self) -> u32 {
        match self {
            Self::Any | Self::Only(_) => 1,
            Self::Sets(parts) => parts.iter().map(|(_, kegs)| kegs).sum(),
        }
    }
}

fn sets(scenario: &Checked, mix: &[MixPart]) -> Result<Wanted, NoAnswer> {
    let mut parts: Vec<(usize, u32)> = Vec::new();
    for (n, part) in mix.iter().enumerate() {
        let product = position(scenario, &format!("mix[{n}].product"), &part.product)?;
        if parts.iter().any(|(known, _)| *known == product) {
            let what = format!("\"{}\" is named twice; once is allowed", part.product);
            return Err(bad(&format!("mix[{n}].product"), &what));
        }
        if !(1..=MOST).contains(&part.kegs) {
            let what = format!("{} found; 1 to {MOST} is allowed", part.kegs);
            return Err(bad(&format!("mix[{n}].kegs"), &what));
        }
        parts.push((product, part.kegs));
    }
    Ok(Wanted::Sets(parts))
}

fn position(scenario: &Checked, field: &str, id: &ProductId) -> Result<usize, NoAnswer> {
    let products = &scenario.setup.products;
    let found = scenario.index().product(id);
    found.ok_or_else(|| {
        let names: Vec<&str> = products.iter().map(|p| p.id.as_str()).collect();
        let names = names.join(", ");
        bad(
            field,
            &format!("there is no product \"{id}\"; the setup has: {names}"),
        )
    })
}

fn bad(field: &str, what: &str) -> NoAnswer {
    NoAnswer::BadQuestion {
        field: field.to_owned(),
        what: what.to_owned(),
    }
}
