//! A budget: a result, what goes into it, and what each input does to it.

use crate::Error;

/// One input of a budget, and what it does to the result.
///
/// See [`Budget`] for an example.
#[derive(Clone, Debug, PartialEq)]
pub struct Contribution {
    /// What goes in.
    pub input: &'static str,
    /// How far it may be off, in words.
    pub spread: &'static str,
    /// Where the spread comes from.
    pub source: &'static str,
    /// What it takes off the result at most, in the result's unit.
    pub down: f64,
    /// What it adds to the result at most.
    pub up: f64,
}

/// A result and all that makes it uncertain.
///
/// ```
/// use model::uncertainty::HeldKeg;
/// use model::{AbsolutePressure, GaugePressure, SugarContent, Temperature};
///
/// let budget = HeldKeg {
///     temperature: Temperature::of(2.0),
///     held: GaugePressure::of(1.55),
///     sugar: SugarContent::of(0.0),
///     atmosphere: AbsolutePressure::STANDARD_ATMOSPHERE,
/// }
/// .budget()?;
/// // 7.7 g/L, give or take half a gram.
/// assert!((budget.value - 7.7).abs() < 0.1);
/// assert!(budget.up() > 0.3 && budget.up() < 0.8);
/// # Ok::<(), model::Error>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Budget {
    /// What is worked out.
    pub gives: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// What comes out where every input is as told.
    pub value: f64,
    /// The inputs, in the order they are told.
    pub parts: Vec<Contribution>,
}

impl Budget {
    /// How far the result may lie below its value.
    ///
    /// See [`Budget`] for an example.
    #[must_use]
    pub fn down(&self) -> f64 {
        total(self.parts.iter().map(|part| part.down))
    }

    /// How far the result may lie above its value.
    ///
    /// See [`Budget`] for an example.
    #[must_use]
    pub fn up(&self) -> f64 {
        total(self.parts.iter().map(|part| part.up))
    }
}

fn total(parts: impl Iterator<Item = f64>) -> f64 {
    parts.map(|part| part * part).sum::<f64>().sqrt()
}

/// An input as a budget is made of it.
#[derive(Clone, Copy)]
pub(super) struct Input {
    pub(super) input: &'static str,
    pub(super) spread: &'static str,
    pub(super) source: &'static str,
    /// The value that is told, the lowest and the highest it may be.
    pub(super) value: f64,
    pub(super) range: [f64; 2],
}

/// An input that may be off by so much to either side.
pub(super) const fn plus_minus(value: f64, by: f64) -> (f64, [f64; 2]) {
    (value, [value - by, value + by])
}

/// An input that may be off by a factor.
pub(super) const fn times(factor: f64) -> (f64, [f64; 2]) {
    (1.0, [1.0 / factor, factor])
}

/// Something that is left out and may be there, up to so much.
pub(super) const fn up_to(most: f64) -> (f64, [f64; 2]) {
    (0.0, [0.0, most])
}

impl Input {
    pub(super) const fn new(
        input: &'static str,
        (value, range): (f64, [f64; 2]),
        spread: &'static str,
        source: &'static str,
    ) -> Self {
        Self {
            input,
            spread,
            source,
            value,
            range,
        }
    }
}

/// Works out a result with every input as told, and with each moved to both ends of its spread.
pub(super) fn budget<const N: usize>(
    (gives, unit): (&'static str, &'static str),
    inputs: [Input; N],
    result: impl Fn([f64; N]) -> Result<f64, Error>,
) -> Result<Budget, Error> {
    let told = inputs.map(|input| input.value);
    let value = result(told)?;
    let mut parts = Vec::with_capacity(N);
    for (n, input) in inputs.iter().enumerate() {
        let mut off = [0.0; 2];
        for (off, end) in off.iter_mut().zip(input.range) {
            let mut moved = told;
            moved[n] = end;
            *off = result(moved)? - value;
        }
        parts.push(Contribution {
            input: input.input,
            spread: input.spread,
            source: input.source,
            // Zero, and not less than nothing by a sign.
            down: 0.0 - off[0].min(off[1]).min(0.0),
            up: off[0].max(off[1]).max(0.0) + 0.0,
        });
    }
    Ok(Budget {
        gives,
        unit,
        value,
        parts,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// JCGM 100:2008, 5.1.2: for y = a + 2b the parts are u(a) and 2 u(b).
    #[test]
    fn parts_add_as_the_root_of_the_sum_of_squares() {
        let inputs = [
            Input::new("a", plus_minus(10.0, 3.0), "±3", "made up"),
            Input::new("b", plus_minus(1.0, 2.0), "±2", "made up"),
        ];
        let found = budget(("y", "1"), inputs, |[a, b]| Ok(a + 2.0 * b)).unwrap();
        assert!((found.value - 12.0).abs() < 1e-12);
        for total in [found.down(), found.up()] {
            assert!((total - 5.0).abs() < 1e-12, "{total}");
        }
    }

    #[test]
    fn what_is_left_out_counts_to_one_side() {
        let inputs = [Input::new("loss", up_to(0.5), "up to 0.5", "made up")];
        let found = budget(("y", "1"), inputs, |[loss]| Ok(4.0 - loss)).unwrap();
        assert!((found.down() - 0.5).abs() < 1e-12 && found.up() < 1e-12);
    }
}
