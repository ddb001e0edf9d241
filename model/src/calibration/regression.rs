//! Linear least squares that starts from theory.

use nalgebra::{SMatrix, SVector};

use super::Estimate;
use crate::Error;

/// Readings that the theory value counts as.
pub(super) const PRIOR_READINGS: f64 = 3.0;

/// One equation `y = x · parameters`, and where on the covered range it lies.
#[derive(Clone, Copy, Debug)]
pub(super) struct Row<const P: usize> {
    pub(super) x: [f64; P],
    pub(super) y: f64,
    pub(super) at: f64,
}

/// What to fit: the theory value, its relative spread, and the words for it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Prior<const P: usize> {
    pub(super) values: [f64; P],
    /// Standard deviation of a single pseudo-reading, in the unit of `y`, or a
    /// share of the predicted `y`.
    pub(super) scatter: Scatter,
    pub(super) what: &'static str,
    pub(super) over: &'static str,
}

#[derive(Clone, Copy, Debug)]
pub(super) enum Scatter {
    Absolute(f64),
    Relative(f64),
}

/// Fits one number to readings.
pub(super) fn fit_one(
    rows: impl Iterator<Item = Row<1>> + Clone,
    prior: &Prior<1>,
) -> Result<Estimate<f64>, Error> {
    fit(rows, prior).map(|[only]| only)
}

/// Fits several numbers to readings; each result carries the same range.
pub(super) fn fit<const P: usize>(
    rows: impl Iterator<Item = Row<P>> + Clone,
    prior: &Prior<P>,
) -> Result<[Estimate<f64>; P], Error> {
    let undetermined = Error::NotDetermined { what: prior.what };
    let sums = Sums::of(rows.clone(), prior);
    if sums.count == 0 {
        return Err(undetermined);
    }
    let inverse = inverse(&sums.squares).ok_or(undetermined)?;
    let n = sums.count as f64;
    let alone = inverse * sums.products;
    let theory = SVector::<f64, P>::from(prior.values);
    // The prior has the shape of the readings and the weight of PRIOR_READINGS.
    let value = (theory * PRIOR_READINGS + alone * n) / (PRIOR_READINGS + n);
    let misfit: f64 = rows
        .map(|row| (row.y - SVector::from(row.x).dot(&value)).powi(2))
        .sum();
    let variance = sums.variance(prior, value - theory, misfit);
    let estimate = |index: usize| Estimate {
        value: value[index],
        spread: (variance * inverse[(index, index)] * n / (PRIOR_READINGS + n)).sqrt(),
        readings: sums.count,
        over: prior.over,
        lowest: sums.lowest,
        highest: sums.highest,
    };
    let estimates = std::array::from_fn(estimate);
    if estimates
        .iter()
        .all(|e: &Estimate<f64>| e.value.is_finite() && e.spread.is_finite())
    {
        Ok(estimates)
    } else {
        Err(undetermined)
    }
}

/// Sums over the readings.
struct Sums<const P: usize> {
    squares: SMatrix<f64, P, P>,
    products: SVector<f64, P>,
    predicted_squares: f64,
    count: usize,
    lowest: f64,
    highest: f64,
}

impl<const P: usize> Sums<P> {
    fn of(rows: impl Iterator<Item = Row<P>>, prior: &Prior<P>) -> Self {
        let theory = SVector::<f64, P>::from(prior.values);
        let start = Self {
            squares: SMatrix::zeros(),
            products: SVector::zeros(),
            predicted_squares: 0.0,
            count: 0,
            lowest: f64::INFINITY,
            highest: f64::NEG_INFINITY,
        };
        rows.fold(start, |mut sums, row| {
            let x = SVector::<f64, P>::from(row.x);
            sums.squares += x * x.transpose();
            sums.products += x * row.y;
            sums.predicted_squares += x.dot(&theory).powi(2);
            sums.count += 1;
            sums.lowest = sums.lowest.min(row.at);
            sums.highest = sums.highest.max(row.at);
            sums
        })
    }

    /// Variance of one reading, by readings and theory: `shift` is how far the
    /// estimate is from theory, `misfit` the squares of what it leaves over.
    fn variance(&self, prior: &Prior<P>, shift: SVector<f64, P>, misfit: f64) -> f64 {
        let n = self.count as f64;
        let pull = shift.dot(&(self.squares * shift)) * PRIOR_READINGS / n;
        let alone = match prior.scatter {
            Scatter::Absolute(scatter) => scatter * scatter,
            Scatter::Relative(share) => share * share * self.predicted_squares / n,
        };
        (PRIOR_READINGS * alone + pull + misfit) / (PRIOR_READINGS + n)
    }
}

/// Inverse of a matrix of sums of squares, if the readings determine it: each
/// column scaled to one, no pivot may fall below a millionth.
fn inverse<const P: usize>(squares: &SMatrix<f64, P, P>) -> Option<SMatrix<f64, P, P>> {
    let scale = SVector::<f64, P>::from_fn(|i, _| squares[(i, i)].sqrt());
    if !scale.iter().all(|s| *s > 0.0 && s.is_finite()) {
        return None;
    }
    let scaled = SMatrix::<f64, P, P>::from_fn(|i, j| squares[(i, j)] / (scale[i] * scale[j]));
    let factor = scaled.cholesky()?;
    let lower = factor.l();
    if (0..P).any(|i| lower[(i, i)] < 1e-3) {
        return None;
    }
    let inverse = factor.inverse();
    Some(SMatrix::from_fn(|i, j| {
        inverse[(i, j)] / (scale[i] * scale[j])
    }))
}

#[cfg(test)]
mod tests {
    use super::{Prior, Row, Scatter, fit, fit_one};

    const PRIOR: Prior<2> = Prior {
        values: [1.0, 2.0],
        scatter: Scatter::Relative(0.1),
        what: "a line",
        over: "x",
    };

    #[test]
    fn a_hundred_readings_outweigh_theory() {
        let rows = (0..100).map(|i| {
            let x = f64::from(i) / 10.0;
            Row {
                x: [1.0, x],
                y: 3.0 + 5.0 * x,
                at: x,
            }
        });
        let [start, slope] = fit(rows, &PRIOR).unwrap();
        assert!((start.value - (3.0 * 1.0 + 100.0 * 3.0) / 103.0).abs() < 1e-9);
        assert!((slope.value - (3.0 * 2.0 + 100.0 * 5.0) / 103.0).abs() < 1e-9);
    }

    #[test]
    fn readings_all_alike_determine_no_line() {
        let rows = (0..9).map(|_| Row {
            x: [1.0, 2.0],
            y: 3.0,
            at: 2.0,
        });
        assert!(fit(rows, &PRIOR).is_err());
    }

    #[test]
    fn the_spread_shrinks_with_readings() {
        let prior = Prior {
            values: [1.0],
            scatter: Scatter::Relative(0.3),
            what: "a slope",
            over: "x",
        };
        let spread = |n: u32| {
            let rows = (1..=n).map(|i| Row {
                x: [f64::from(i)],
                y: f64::from(i),
                at: 0.0,
            });
            fit_one(rows, &prior).unwrap().spread
        };
        assert!(spread(30) < spread(3));
    }

    #[test]
    fn the_spread_is_that_of_six_readings_half_a_unit_off() {
        // Theory says 1, three readings say 2: all six lie 0.5 from the mean, so
        // the spread of the mean is sqrt(6 · 0.25 / 6 / 6).
        let prior = Prior {
            values: [1.0],
            scatter: Scatter::Absolute(0.0),
            what: "a mean",
            over: "x",
        };
        let rows = (0..3).map(|_| Row {
            x: [1.0],
            y: 2.0,
            at: 0.0,
        });
        let found = fit_one(rows, &prior).unwrap();
        assert!((found.value - 1.5).abs() < 1e-12);
        assert!((found.spread - (0.25_f64 / 6.0).sqrt()).abs() < 1e-12);
    }
}
