//! Small numerical methods without allocation.

/// Nodes and weights of eight-point Gauss–Legendre quadrature on -1 to 1, one side.
const GAUSS: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_5),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_3),
];

/// Integral of a smooth function from `a` to `b` in `panels` equal parts.
pub(crate) fn integral(f: impl Fn(f64) -> f64, a: f64, b: f64, panels: u32) -> f64 {
    let count = panels.max(1);
    let half = (b - a) / f64::from(2 * count);
    let mut sum = 0.0;
    for panel in 0..count {
        let middle = a + half * f64::from(2 * panel + 1);
        for (node, weight) in GAUSS {
            sum += weight * (f(middle - node * half) + f(middle + node * half));
        }
    }
    sum * half
}

/// Where a rising function crosses zero between `low` and `high`, by bisection
/// to the last bit that matters; an end when it does not cross.
pub(crate) fn crossing<E>(
    f: impl Fn(f64) -> Result<f64, E>,
    mut low: f64,
    mut high: f64,
) -> Result<f64, E> {
    for _ in 0..80 {
        let middle = f64::midpoint(low, high);
        if f(middle)? < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(high)
}

#[cfg(test)]
mod tests {
    use super::{crossing, integral};

    #[test]
    fn integrates_a_polynomial_exactly() {
        let area = integral(|x| x.powi(7), 0.0, 2.0, 1);
        assert!((area - 32.0).abs() < 1e-12, "{area}");
    }

    #[test]
    fn finds_a_crossing() {
        let root = crossing(|x: f64| Ok::<f64, ()>(x * x - 2.0), 0.0, 2.0).unwrap();
        assert!((root - 2.0_f64.sqrt()).abs() < 1e-14, "{root}");
    }
}
