//! Evenly spaced steps for curves.

use model::{OutOfRange, TimeSpan};

/// Points of a curve, both ends included.
pub(super) const POINTS: u32 = 25;

/// Evenly spaced times from nothing to the end, both included.
pub(super) fn instants(
    end: TimeSpan,
    points: u32,
) -> Result<impl Iterator<Item = TimeSpan>, OutOfRange> {
    let times: Result<Vec<TimeSpan>, OutOfRange> = steps(0.0, end.seconds(), points)
        .map(TimeSpan::new)
        .collect();
    Ok(times?.into_iter())
}

/// Evenly spaced numbers, both ends included.
pub(super) fn steps(from: f64, to: f64, points: u32) -> impl Iterator<Item = f64> {
    let last = points.max(2) - 1;
    (0..=last).map(move |step| {
        if step == last {
            to // to the last digit
        } else {
            from + (to - from) * f64::from(step) / f64::from(last)
        }
    })
}

#[cfg(test)]
mod tests {
    use super::steps;

    #[test]
    fn both_ends_are_there() {
        let found: Vec<f64> = steps(1.0, 2.0, 5).collect();
        assert_eq!(found, [1.0, 1.25, 1.5, 1.75, 2.0]);
    }
}
