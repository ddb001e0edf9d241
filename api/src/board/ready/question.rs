//! What is asked about kegs that stand ready: all, one product, each by itself, or whole sets.

use std::time::Instant;

use chrono::{DateTime, FixedOffset};
use scheduler::answer::{CapacityAnswer, CapacityQuestion, MixPart, capacity};
use scheduler::check::Checked;
use scheduler::milp::Watch;
use scheduler::plan::Status;
use scheduler::scenario::{ProductId, Setup};
use scheduler::search::Limits;

use super::super::fields::Fields;
use super::super::limit::Limit;
use super::super::principal::Principal;
use super::{PATIENCE, ReadyContext};
use crate::app::capacity::{Stretch, answered};
use crate::domain::Refusal;
use crate::service::Service;
use crate::text::units::Units;

/// Which kegs count.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Of {
    All,
    Only(ProductId),
    Each,
    Mix(Vec<MixPart>),
}

/// How a choice is written in the address. A product's id has no star in it.
pub(super) const EACH: &str = "*each";
pub(super) const MIX: &str = "*mix";

/// Kegs of a product in the answer.
pub(super) struct Count {
    pub(super) product: String,
    pub(super) keg: String,
    pub(super) kegs: u32,
}

/// One number, with what is behind it.
pub(super) struct Answer {
    pub(super) of: String,
    /// Whole sets, where sets were asked for.
    pub(super) sets: Option<u32>,
    pub(super) kegs: u32,
    pub(super) at_most: u32,
    pub(super) proven: bool,
    pub(super) litres: String,
    pub(super) counts: Vec<Count>,
    pub(super) limits: Vec<Limit>,
}

impl Of {
    /// What the address says.
    pub(super) fn read(fields: &Fields) -> Result<Self, Refusal> {
        match fields.text("product") {
            None => Ok(Self::All),
            Some(EACH) => Ok(Self::Each),
            Some(MIX) => {
                let mut parts = Vec::new();
                for (id, _) in fields.under("mix ") {
                    let field = format!("mix {id}");
                    let kegs: Option<u32> = fields.number(&field)?;
                    if let Some(kegs) = kegs.filter(|kegs| *kegs > 0) {
                        let product = product(&field, id)?;
                        parts.push(MixPart { product, kegs });
                    }
                }
                if parts.is_empty() {
                    let what = "nothing found; say how many kegs of each product make a set";
                    return Err(Refusal::field("mix", what));
                }
                Ok(Self::Mix(parts))
            }
            Some(id) => Ok(Self::Only(product("product", id)?)),
        }
    }

    pub(super) fn only(&self) -> Option<&ProductId> {
        match self {
            Self::Only(product) => Some(product),
            _ => None,
        }
    }

    /// The same, as the address says it.
    pub(super) fn written(&self) -> &str {
        match self {
            Self::All => "",
            Self::Only(product) => product.as_str(),
            Self::Each => EACH,
            Self::Mix(_) => MIX,
        }
    }

    /// Kegs of a product in a set, as they were written.
    pub(super) fn part(&self, id: &ProductId) -> String {
        let Self::Mix(parts) = self else {
            return String::new();
        };
        let found = parts.iter().find(|part| part.product == *id);
        found.map_or_else(String::new, |part| part.kegs.to_string())
    }

    /// The questions to ask, one after the other.
    fn questions(&self, setup: &Setup, by: DateTime<FixedOffset>) -> Vec<CapacityQuestion> {
        let question = |product: Option<&ProductId>, mix: &[MixPart]| CapacityQuestion {
            by,
            product: product.cloned(),
            mix: mix.to_vec(),
        };
        match self {
            Self::All => vec![question(None, &[])],
            Self::Only(product) => vec![question(Some(product), &[])],
            Self::Mix(parts) => vec![question(None, parts)],
            Self::Each => {
                let products = setup.products.iter();
                products.map(|p| question(Some(&p.id), &[])).collect()
            }
        }
    }
}

fn product(field: &str, id: &str) -> Result<ProductId, Refusal> {
    ProductId::try_from(id.to_owned()).map_err(|error| Refusal::field(field, error.to_string()))
}

/// The answers, worked out while a person waits.
pub(super) async fn ask(
    service: &Service,
    known: &ReadyContext,
    visitor: &Principal,
) -> Result<Vec<Answer>, Refusal> {
    let stretch = known.stretch();
    let questions = known.of.questions(&known.setup.setup, known.by);
    let limits = stretch.limits();
    let stretch = Stretch::of(known.site.id.clone(), &stretch);
    let same = questions.clone();
    let answers = move |scenario: &Checked, watch: Watch<'_>| {
        let begun = Instant::now();
        let mut answers = Vec::new();
        for (n, question) in questions.iter().enumerate() {
            // What one question leaves of the time is the others'.
            let rest = PATIENCE - begun.elapsed().as_secs_f64();
            let share = rest.max(1.0) / (questions.len() - n) as f64;
            let limits = Limits {
                seconds: share.min(limits.seconds),
                ..limits
            };
            answers.push(capacity(scenario, question, limits, watch)?);
        }
        Ok(answers)
    };
    let found = answered(service, &visitor.actor, stretch, &same, answers).await?;
    Ok(found
        .iter()
        .map(|found| told(known, visitor.units, found))
        .collect())
}

fn told(known: &ReadyContext, units: Units, found: &CapacityAnswer) -> Answer {
    let setup = &known.setup.setup;
    let product = |id: &ProductId| {
        let named = setup.products.iter().find(|p| p.id == *id);
        named.map_or_else(|| id.to_string(), |p| p.name.clone())
    };
    let counts = found.by_keg.iter().map(|count| {
        let keg = setup.keg_types.iter().find(|k| k.id == count.keg_type);
        Count {
            product: product(&count.product),
            keg: keg.map_or_else(|| count.keg_type.to_string(), |k| k.name.clone()),
            kegs: count.kegs,
        }
    });
    let limits = found.limits.iter();
    let limits = limits.map(|why| Limit::told(setup, units, why));
    let set: u32 = found.mix.iter().map(|part| part.kegs).sum();
    Answer {
        of: found.product.as_ref().map_or_else(String::new, product),
        sets: (set > 0).then(|| found.kegs / set.max(1)),
        kegs: found.kegs,
        at_most: found.at_most,
        proven: found.status == Status::Optimal,
        litres: units.litres(found.litres).to_string(),
        counts: counts.collect(),
        limits: limits.collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(query: &str) -> Result<Of, Refusal> {
        Of::read(&Fields::parse(query.as_bytes()))
    }

    #[test]
    fn what_counts_is_read_as_it_is_written() {
        for query in ["product=", "product=tonic", "product=*each", "by=x"] {
            let of = read(query).unwrap();
            let again = read(&format!("product={}", of.written())).unwrap();
            assert_eq!(of, again, "{query}");
        }
        let mix = read("product=*mix&mix+tonic=2&mix+plain-soda=&mix+cola=0").unwrap();
        let tonic = ProductId::try_from("tonic".to_owned()).unwrap();
        assert_eq!(mix.part(&tonic), "2");
        assert!(matches!(&mix, Of::Mix(parts) if parts.len() == 1));
    }

    #[test]
    fn a_set_of_nothing_and_an_id_that_is_none_are_refused() {
        for (query, field) in [
            ("product=*mix", "mix"),
            ("product=*mix&mix+tonic=lots", "mix tonic"),
            ("product=No+Such", "product"),
        ] {
            let refused = read(query).unwrap_err().to_string();
            assert!(refused.contains(field), "{query}: {refused}");
        }
    }
}
