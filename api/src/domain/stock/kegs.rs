//! Kegs that are known one by one, by their GRAI: where each is and in what state.

use std::collections::BTreeSet;

use chrono::{DateTime, FixedOffset};
use scheduler::check::Fault;
use scheduler::scenario::{KegTypeId, ProductId, StoreId};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::super::codes::{Codes, Grai};
use super::books::Books;

/// The most kegs one entry may name.
const MOST_NAMED: usize = 1000;

/// What state a keg is in.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Serialize,
    Deserialize,
    ToSchema,
    strum::IntoStaticStr,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case", const_into_str)]
pub(crate) enum KegState {
    /// Empty, washed and ready to fill.
    Clean,
    /// Empty, waiting for the wash.
    Dirty,
    /// Filled with water and not yet gassed.
    Filled,
    /// Gassed and cold, ready for service.
    Ready,
    /// At the bar: on tap, or emptied there and not yet back.
    OnTap,
    /// Not on hand: it went out.
    Gone,
}

/// A state, with the product and the cold store where the state has them.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
pub(crate) struct KegPlace {
    /// The state.
    #[schema(inline)]
    pub(crate) state: KegState,
    /// What is in them, where they are ready or on tap.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) product: Option<ProductId>,
    /// Where they stand, where they are filled or ready.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) store: Option<StoreId>,
}

impl KegPlace {
    pub(crate) const fn plain(state: KegState) -> Self {
        Self {
            state,
            product: None,
            store: None,
        }
    }

    pub(crate) fn filled(store: &StoreId) -> Self {
        Self {
            store: Some(store.clone()),
            ..Self::plain(KegState::Filled)
        }
    }

    pub(crate) fn ready(product: &ProductId, store: &StoreId) -> Self {
        Self {
            state: KegState::Ready,
            product: Some(product.clone()),
            store: Some(store.clone()),
        }
    }

    pub(crate) fn on_tap(product: &ProductId) -> Self {
        Self {
            product: Some(product.clone()),
            ..Self::plain(KegState::OnTap)
        }
    }
}

impl std::fmt::Display for KegPlace {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.state.into_str())?;
        if let Some(product) = &self.product {
            write!(f, " with {product}")?;
        }
        if let Some(store) = &self.store {
            write!(f, " in {store}")?;
        }
        Ok(())
    }
}

/// A keg that was found when somebody counted, by its GRAI.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct NamedKeg {
    /// Its GRAI.
    pub(crate) grai: Grai,
    /// Its type; the one the site's codes say, where they know it.
    pub(crate) keg_type: KegTypeId,
    /// The state it was found in; `gone` is not one.
    #[schema(inline)]
    pub(crate) state: KegState,
    /// What is in it; stated where it is ready or on tap, and only there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) product: Option<ProductId>,
    /// Where it stands; stated where it is filled or ready, and only there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) store: Option<StoreId>,
}

impl NamedKeg {
    pub(crate) fn place(&self) -> KegPlace {
        KegPlace {
            state: self.state,
            product: self.product.clone(),
            store: self.store.clone(),
        }
    }

    /// Whether it says just what its state needs.
    fn shape(&self) -> Result<(), (&'static str, String)> {
        let state = self.state.into_str();
        if self.state == KegState::Gone {
            let allowed =
                "clean, dirty, filled, ready, on_tap are allowed for a keg that was found";
            return Err(("state", format!("{state} found; {allowed}")));
        }
        let product = matches!(self.state, KegState::Ready | KegState::OnTap);
        let store = matches!(self.state, KegState::Filled | KegState::Ready);
        for (field, stated, wanted) in [
            ("product", self.product.is_some(), product),
            ("store", self.store.is_some(), store),
        ] {
            if stated != wanted {
                let (found, allowed) = if wanted {
                    ("nothing", "must be")
                } else {
                    ("something", "cannot be")
                };
                let what = format!("{found} found; for a keg that is {state} it {allowed} stated");
                return Err((field, what));
            }
        }
        Ok(())
    }
}

/// Where a keg is, and in what state.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub(crate) struct KegAt {
    /// Its GRAI.
    pub(crate) grai: Grai,
    /// Its type.
    pub(crate) keg_type: KegTypeId,
    /// Its state, and what is in it and where it stands.
    #[serde(flatten)]
    pub(crate) place: KegPlace,
    /// Since when, as far as the ledger says (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-02T10:00:00+01:00")]
    pub(crate) since: DateTime<FixedOffset>,
    /// The entry of the ledger that says so.
    #[schema(minimum = 1, example = 12)]
    pub(crate) entry: i64,
    /// Whether that is still certain: false where kegs have left this state since, nobody said
    /// which, and fewer are there than are known by their GRAI.
    pub(crate) certain: bool,
}

/// Checks what a count says about kegs by name against its own numbers and the site's codes.
pub(crate) fn faults(count: &super::Count, codes: &Codes) -> Vec<Fault> {
    let mut faults = too_many("kegs", &count.kegs);
    let mut wrong = |field: String, what: String| faults.push(Fault { field, what });
    let mut seen = BTreeSet::new();
    for (n, keg) in count.kegs.iter().enumerate() {
        if !seen.insert(&keg.grai) {
            wrong(format!("kegs[{n}].grai"), "named twice".to_owned());
        }
        if let Err((field, what)) = keg.shape() {
            wrong(format!("kegs[{n}].{field}"), what);
            continue;
        }
        if let Err(what) = type_fits(&keg.grai, &keg.keg_type, codes) {
            wrong(format!("kegs[{n}].keg_type"), what);
        }
        let alike =
            |other: &&NamedKeg| other.keg_type == keg.keg_type && other.place() == keg.place();
        // Said once, at the first keg that is too many.
        let so_far = count.kegs[..=n].iter().filter(alike).count();
        let counted = Books::standing(&count.stock, &keg.keg_type, &keg.place());
        if so_far == usize::from(counted) + 1 {
            let named = count.kegs.iter().filter(alike).count();
            wrong(
                format!("kegs[{n}]"),
                format!(
                    "{named} kegs of type {} are named as {}, but {counted} were counted",
                    keg.keg_type,
                    keg.place()
                ),
            );
        }
    }
    faults
}

fn too_many<T>(field: &str, kegs: &[T]) -> Vec<Fault> {
    let found = kegs.len();
    let fault = (found > MOST_NAMED).then(|| Fault {
        field: field.to_owned(),
        what: format!("{found} found; at most {MOST_NAMED} are allowed"),
    });
    fault.into_iter().collect()
}

/// Checks kegs that are named in a field as being among a number of kegs of one type.
pub(crate) fn named(
    field: &str,
    kegs: &[Grai],
    (keg_type, number): (&KegTypeId, u32),
    codes: &Codes,
) -> Vec<Fault> {
    let mut faults = too_many(field, kegs);
    if kegs.len() as u64 > u64::from(number) {
        faults.push(Fault {
            field: field.to_owned(),
            what: format!("{} are named, but it is about {number}", kegs.len()),
        });
    }
    let mut seen = BTreeSet::new();
    for (n, grai) in kegs.iter().enumerate() {
        if !seen.insert(grai) {
            faults.push(Fault {
                field: format!("{field}[{n}]"),
                what: "named twice".to_owned(),
            });
        }
        if let Err(what) = type_fits(grai, keg_type, codes) {
            faults.push(Fault {
                field: format!("{field}[{n}]"),
                what,
            });
        }
    }
    faults
}

fn type_fits(grai: &Grai, keg_type: &KegTypeId, codes: &Codes) -> Result<(), String> {
    let known = codes.kegs.iter().find(|code| code.grai == *grai);
    match known.filter(|code| code.keg_type != *keg_type) {
        None => Ok(()),
        Some(code) => Err(format!(
            "{keg_type} found; by the site's codes {} is of type {}",
            grai.as_str(),
            code.keg_type
        )),
    }
}
