//! What is on hand: the last count, and what moved since.

use chrono::{DateTime, FixedOffset};
use model::OutOfRange;
use scheduler::scenario::quantities::{MaterialAmount, StockMass};
use scheduler::scenario::{EmptyKegs, KegTypeId, MaterialId, MaterialStock, Stock};
use serde::Serialize;
use utoipa::ToSchema;

use super::{Change, Count, Movement, Reference};
use crate::domain::Refusal;

/// What is on hand, and how it is known.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct Balance {
    /// The count it starts from.
    pub(crate) counted: Reference,
    /// When that was counted (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T06:00:00+01:00")]
    pub(crate) counted_at: DateTime<FixedOffset>,
    /// Movements recorded since that count.
    #[schema(minimum = 0, example = 2)]
    pub(crate) movements: usize,
    /// What is on hand now, by state.
    pub(crate) stock: Stock,
}

/// What is on hand after a count and the movements since.
///
/// # Errors
/// [`Refusal::BelowZero`] if something would be less than nothing.
pub(crate) fn balance(count: &Count, since: &[Movement]) -> Result<Balance, Refusal> {
    let mut stock = count.stock.clone();
    for movement in since {
        apply(&mut stock, movement)?;
    }
    Ok(Balance {
        counted: count.reference.clone(),
        counted_at: count.at,
        movements: since.len(),
        stock,
    })
}

fn apply(stock: &mut Stock, movement: &Movement) -> Result<(), Refusal> {
    match &movement.change {
        Change::Ice { kg } => stock.ice_kg = mass(stock.ice_kg, kg.kilograms(), "ice")?,
        Change::Co2 { kg } => stock.co2_kg = mass(stock.co2_kg, kg.kilograms(), "CO2")?,
        Change::Material { material, amount } => {
            let held = material_in(stock, material);
            let name = material.as_str();
            let left = sum(held.amount.units(), amount.units());
            held.amount = within(MaterialAmount::new(left), name)?;
        }
        Change::CleanKegs { keg_type, kegs } => {
            let held = kegs_in(stock, keg_type);
            held.clean = counted(held.clean, kegs.kegs(), "clean kegs", keg_type)?;
        }
        Change::DirtyKegs { keg_type, kegs } => {
            let held = kegs_in(stock, keg_type);
            held.dirty = counted(held.dirty, kegs.kegs(), "dirty kegs", keg_type)?;
        }
    }
    Ok(())
}

fn mass(held: StockMass, change: f64, what: &str) -> Result<StockMass, Refusal> {
    within(StockMass::new(sum(held.kilograms(), change)), what)
}

/// The sum, with a hair around nothing taken as nothing.
fn sum(held: f64, change: f64) -> f64 {
    let left = held + change;
    if left.abs() < 1e-9 { 0.0 } else { left }
}

fn within<T>(amount: Result<T, OutOfRange>, what: &str) -> Result<T, Refusal> {
    amount.map_err(|error| {
        if error.value < 0.0 {
            Refusal::BelowZero {
                what: format!("this would leave {} {} of {what}", error.value, error.unit),
            }
        } else {
            Refusal::field("change", format!("{what}: {error}"))
        }
    })
}

fn counted(held: u16, change: i32, what: &str, keg_type: &KegTypeId) -> Result<u16, Refusal> {
    let left = i32::from(held) + change;
    u16::try_from(left).map_err(|_| Refusal::BelowZero {
        what: format!("this would leave {left} {what} of type {keg_type}"),
    })
}

fn material_in<'a>(stock: &'a mut Stock, material: &MaterialId) -> &'a mut MaterialStock {
    let n = match stock.materials.iter().position(|m| m.material == *material) {
        Some(n) => n,
        None => {
            stock.materials.push(MaterialStock {
                material: material.clone(),
                amount: MaterialAmount::of(0.0),
            });
            stock.materials.len() - 1
        }
    };
    &mut stock.materials[n]
}

fn kegs_in<'a>(stock: &'a mut Stock, keg_type: &KegTypeId) -> &'a mut EmptyKegs {
    let n = match stock.empty.iter().position(|k| k.keg_type == *keg_type) {
        Some(n) => n,
        None => {
            stock.empty.push(EmptyKegs {
                keg_type: keg_type.clone(),
                clean: 0,
                dirty: 0,
            });
            stock.empty.len() - 1
        }
    };
    &mut stock.empty[n]
}

#[cfg(test)]
mod tests {
    use super::super::{AmountChange, KegChange, MassChange};
    use super::*;

    fn count() -> Count {
        let scenario = scheduler::sample::fixed();
        Count {
            reference: Reference::try_from("monday".to_owned()).unwrap(),
            at: scenario.horizon.start,
            stock: scenario.stock,
        }
    }

    fn movement(change: Change) -> Movement {
        Movement {
            reference: Reference::try_from("a note".to_owned()).unwrap(),
            at: count().at,
            change,
        }
    }

    #[test]
    fn movements_add_up_on_the_count() {
        let keg_type = KegTypeId::parse("keg-19").unwrap();
        let lime = MaterialId::parse("lime-syrup").unwrap();
        let moves = [
            movement(Change::Ice {
                kg: MassChange::of(40.0),
            }),
            movement(Change::CleanKegs {
                keg_type,
                kegs: KegChange::try_from(-6).unwrap(),
            }),
            movement(Change::Material {
                material: lime.clone(),
                amount: AmountChange::of(5.0),
            }),
        ];
        let found = balance(&count(), &moves).unwrap();
        assert!((found.stock.ice_kg.kilograms() - 110.0).abs() < 1e-9);
        assert_eq!(found.stock.empty[0].clean, 10);
        let held = found.stock.materials.iter().find(|m| m.material == lime);
        assert!((held.unwrap().amount.units() - 5.0).abs() < 1e-9);
    }

    #[test]
    fn nothing_goes_below_zero() {
        let refusal = balance(
            &count(),
            &[movement(Change::Ice {
                kg: MassChange::of(-70.5),
            })],
        )
        .unwrap_err();
        assert!(refusal.to_string().starts_with("this would leave -0.5 kg of ice"), "{refusal}");
    }
}
