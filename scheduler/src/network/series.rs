//! A number for every point.

/// A number for every point of the network.
#[derive(Debug, Clone, PartialEq)]
pub enum Series {
    /// The same at every point.
    Constant(f64),
    /// One for each point; points past the end repeat the last (zero where there is none).
    ByPoint(Vec<f64>),
}

impl Series {
    /// The number at point `t`.
    ///
    /// ```
    /// use scheduler::network::Series;
    /// assert_eq!(Series::Constant(2.0).at(7), 2.0);
    /// assert_eq!(Series::ByPoint(vec![1.0, 3.0]).at(7), 3.0);
    /// ```
    #[must_use]
    pub fn at(&self, t: usize) -> f64 {
        match self {
            Self::Constant(x) => *x,
            Self::ByPoint(xs) => xs.get(t).or(xs.last()).copied().unwrap_or(0.0),
        }
    }

    /// Sets the number at point `t` of a network with `points` points.
    pub fn set(&mut self, t: usize, points: usize, to: f64) {
        let mut xs: Vec<f64> = (0..points).map(|p| self.at(p)).collect();
        if let Some(x) = xs.get_mut(t) {
            *x = to;
        }
        *self = Self::ByPoint(xs);
    }

    /// Whether the number at `t` differs from the one before it.
    #[must_use]
    pub(crate) fn changes_at(&self, t: usize) -> bool {
        match self {
            Self::Constant(_) => false,
            Self::ByPoint(_) => t == 0 || (self.at(t) - self.at(t - 1)).abs() > 0.0,
        }
    }
}

impl From<f64> for Series {
    fn from(x: f64) -> Self {
        Self::Constant(x)
    }
}

impl From<Vec<f64>> for Series {
    fn from(xs: Vec<f64>) -> Self {
        Self::ByPoint(xs)
    }
}
