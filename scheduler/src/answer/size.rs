//! How large the program of a plan is, and what memory its search takes: told before it begins.
//!
//! The network is made, and what its program would be is counted, not written down: a few
//! milliseconds for a week, a few hundred for eight weeks of quarters of an hour.

use std::fmt::{self, Display};

use super::NoAnswer;
use crate::check::Checked;
use crate::mapping::network;
use crate::milp::Shape;
use crate::recipe::Recipes;
use crate::scenario::{Horizon, LONGEST_DAYS};

/// Bytes that a search takes at its peak for each decision, each rule, and each decision in a rule
/// of the whole program. The demo week (18,747 decisions, 10,906 rules, 95,594 decisions in rules)
/// took 91 MB and is estimated at 99; eight weeks of quarters of an hour, 20 products and four pots
/// (465,031, 285,364 and 2,134,360) took 765 MB in 30 s and are estimated at 1,012.
const BYTES: (usize, usize, usize) = (700, 700, 200);

/// Megabytes that any search takes.
const LEAST_MB: usize = 60;

/// How large a program is, and what memory its search takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size {
    /// Rules.
    pub rows: usize,
    /// Decisions.
    pub columns: usize,
    /// Decisions in rules.
    pub nonzeros: usize,
    /// Megabytes that a search takes at its peak, estimated.
    pub memory_mb: usize,
}

/// A plan needs more memory than is allowed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TooLarge {
    /// Days of the plan.
    pub days: u8,
    /// Minutes of a step.
    pub grid_minutes: u16,
    /// Megabytes it takes, estimated.
    pub needed_mb: usize,
    /// Megabytes it may take.
    pub allowed_mb: usize,
}

impl std::error::Error for TooLarge {}

impl Display for TooLarge {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (days, grid, instead) = (self.days, self.grid_minutes, self.instead());
        write!(
            f,
            "a plan of {days} days in steps of {grid} min takes about "
        )?;
        let (needed, allowed) = (self.needed_mb, self.allowed_mb);
        write!(
            f,
            "{needed} MB of memory; {allowed} MB are allowed; {instead}"
        )
    }
}

impl TooLarge {
    /// What to ask for instead: memory grows with the number of steps.
    fn instead(&self) -> String {
        let fits = |grid: u16| {
            let part = self.allowed_mb as f64 / self.needed_mb.max(1) as f64;
            let days = f64::from(self.days) * part * f64::from(grid) / f64::from(self.grid_minutes);
            (days as u8).min(self.days)
        };
        let coarser = [30, 60]
            .into_iter()
            .filter(|grid| *grid > self.grid_minutes);
        let mut ways: Vec<String> = Vec::new();
        for grid in coarser {
            if fits(grid) == self.days {
                ways.push(format!("steps of {grid} min"));
                break;
            }
        }
        let days = fits(self.grid_minutes);
        if days > 0 {
            ways.push(format!("at most {days} days"));
        }
        match ways.is_empty() {
            true => "plan fewer days in longer steps, or fewer products and lines".to_owned(),
            false => format!("ask for {}", ways.join(", or for ")),
        }
    }
}

impl Size {
    /// The size of a program.
    ///
    /// ```
    /// use scheduler::answer::Size;
    /// use scheduler::milp::Shape;
    /// let small = Shape { rows: 1000, columns: 1000, nonzeros: 4000 };
    /// assert!(Size::of(small).memory_mb < 100);
    /// ```
    #[must_use]
    pub fn of(shape: Shape) -> Self {
        let (column, row, nonzero) = BYTES;
        let bytes = shape.columns * column + shape.rows * row + shape.nonzeros * nonzero;
        Self {
            rows: shape.rows,
            columns: shape.columns,
            nonzeros: shape.nonzeros,
            memory_mb: LEAST_MB + bytes / 1_000_000,
        }
    }

    /// Refuses what needs more memory than is allowed.
    ///
    /// # Errors
    /// [`TooLarge`], which says what to ask for instead.
    pub fn within(self, horizon: &Horizon, allowed_mb: usize) -> Result<(), TooLarge> {
        match self.memory_mb > allowed_mb {
            true => Err(TooLarge {
                days: horizon.days.min(LONGEST_DAYS),
                grid_minutes: horizon.grid_minutes.minutes(),
                needed_mb: self.memory_mb,
                allowed_mb,
            }),
            false => Ok(()),
        }
    }
}

/// How large the program of a scenario's plan is. A replanning's and a commitment's are about as
/// large; a what-if has one for each change that is worked out at the same time.
///
/// # Errors
/// [`NoAnswer::Physics`] if a value is outside what the physics is known for.
///
/// ```
/// let scenario = scheduler::sample::fixed().check().unwrap();
/// let size = scheduler::answer::estimate(&scenario).unwrap();
/// assert!(size.rows > 1000 && size.memory_mb < 500);
/// assert!(size.within(&scenario.horizon, 10).is_err());
/// ```
pub fn estimate(scenario: &Checked) -> Result<Size, NoAnswer> {
    let recipes = Recipes::of(scenario)?;
    let timeline = scenario.horizon.timeline(scenario.site.time_zone);
    let soda = network(scenario, &recipes, &timeline);
    Ok(Size::of(soda.shape(scenario, &timeline)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::Grid;

    #[test]
    fn the_program_is_as_large_as_it_was_counted() {
        for grid in [Grid::Quarter, Grid::Half, Grid::Hour] {
            let mut scenario = crate::sample::fixed();
            scenario.horizon.grid_minutes = grid;
            let scenario = scenario.check().unwrap();
            let recipes = Recipes::of(&scenario).unwrap();
            let timeline = scenario.horizon.timeline(scenario.site.time_zone);
            let soda = network(&scenario, &recipes, &timeline);
            let form = soda.formulate(&scenario, &timeline);
            let (counted, is) = (
                soda.shape(&scenario, &timeline),
                Shape::of_program(&form.program),
            );
            assert_eq!(counted.columns, is.columns);
            assert!(counted.rows >= is.rows && counted.rows < is.rows + is.rows / 10);
            assert!(counted.nonzeros >= is.nonzeros, "{counted:?} {is:?}");
            assert!(counted.nonzeros < is.nonzeros + is.nonzeros / 5);
        }
    }

    #[test]
    fn whoever_is_refused_is_told_what_to_ask_for() {
        let told = |days, grid_minutes, needed_mb, allowed_mb| {
            TooLarge {
                days,
                grid_minutes,
                needed_mb,
                allowed_mb,
            }
            .to_string()
        };
        let quarters = told(56, 15, 3000, 1600);
        assert!(
            quarters.ends_with("ask for steps of 30 min, or for at most 29 days"),
            "{quarters}"
        );
        let hours = told(56, 60, 3000, 1500);
        assert!(hours.ends_with("ask for at most 28 days"), "{hours}");
        let hopeless = told(1, 60, 3000, 100);
        assert!(hopeless.contains("fewer products"), "{hopeless}");
    }
}
