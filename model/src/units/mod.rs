//! Units people use, and what each is in SI.
//!
//! The name of a unit is the ending of every field that carries it: `k`, `c`
//! and `f` for temperatures, `bar` and `psi` for pressures. Sizes come from
//! `uom`, those of a volume of CO2 from [`Carbonation`](crate::Carbonation).

mod convert;
mod list;

pub use convert::{convert, converted};
pub use list::{Kind, Unit};
