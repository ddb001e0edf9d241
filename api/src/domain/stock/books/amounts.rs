//! What is measured by weight, volume or number of pieces.

use model::OutOfRange;
use scheduler::scenario::quantities::{MaterialAmount, StockMass};
use scheduler::scenario::{CO2, MaterialId, MaterialStock};

use super::super::balance::Missing;
use super::{Books, Wrong};

impl Books {
    pub(super) fn mass(&mut self, held: StockMass, change: f64, what: &str) -> StockMass {
        let left = sum(held.kilograms(), change);
        let checked = StockMass::new(left);
        self.within(checked, what)
            .unwrap_or_else(|| StockMass::of(0.0))
    }

    pub(super) fn material(&mut self, material: &MaterialId, change: f64) {
        let mut held = self.stock.materials.iter();
        let n = held.position(|held| held.material == *material);
        let before = n.map_or(0.0, |n| self.stock.materials[n].amount.units());
        let checked = MaterialAmount::new(sum(before, change));
        let amount = self.within(checked, material.as_str());
        let amount = amount.unwrap_or_else(|| MaterialAmount::of(0.0));
        match n {
            Some(n) => self.stock.materials[n].amount = amount,
            None => self.stock.materials.push(MaterialStock {
                material: material.clone(),
                amount,
            }),
        }
    }

    fn within<T>(&mut self, amount: Result<T, OutOfRange>, what: &str) -> Option<T> {
        let error = match amount {
            Ok(amount) => return Some(amount),
            Err(error) => error,
        };
        self.wrong.push(if error.value < 0.0 {
            let what = format!("this would leave {} {} of {what}", error.value, error.unit);
            Wrong::BelowZero(what)
        } else {
            Wrong::Field {
                field: "change".to_owned(),
                what: format!("{what}: {error}"),
            }
        });
        None
    }

    /// Work has used something up.
    pub(super) fn use_up(&mut self, seq: i64, material: &str, amount: f64) {
        let short = if material == CO2 {
            let left = sum(self.stock.co2_kg.kilograms(), -amount);
            self.stock.co2_kg = StockMass::new(left.max(0.0)).unwrap_or(self.stock.co2_kg);
            left
        } else {
            let mut held = self.stock.materials.iter_mut();
            // What was never counted has no books.
            let Some(held) = held.find(|held| held.material.as_str() == material) else {
                return;
            };
            let left = sum(held.amount.units(), -amount);
            held.amount = MaterialAmount::new(left.max(0.0)).unwrap_or(held.amount);
            left
        };
        if short < 0.0 {
            self.missing.push(Missing {
                what: material.to_owned(),
                amount: -short,
                entry: seq,
            });
        }
    }
}

/// The sum, with a hair around nothing taken as nothing.
fn sum(held: f64, change: f64) -> f64 {
    let left = held + change;
    if left.abs() < 1e-9 { 0.0 } else { left }
}
