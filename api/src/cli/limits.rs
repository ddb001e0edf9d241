//! How long and how far to search, as options.

use clap::Args;
use scheduler::search::Limits;

/// How long and how far to search.
#[derive(Debug, Args)]
pub(crate) struct LimitOptions {
    /// Stop searching after this many seconds and show the best plan so far (1 to 3600).
    #[arg(long, value_name = "SECONDS", value_parser = seconds, default_value = "60")]
    time_limit: f64,
    /// Stop when no plan can be better by more than this part (0 to 0.5; 0.001 is 0.1 %).
    #[arg(long, value_name = "PART", value_parser = part, default_value = "0.001")]
    gap: f64,
}

impl From<&LimitOptions> for Limits {
    fn from(options: &LimitOptions) -> Self {
        Self {
            gap: options.gap,
            seconds: options.time_limit,
            threads: std::thread::available_parallelism().map_or(1, usize::from),
            ..Self::default()
        }
    }
}

fn seconds(text: &str) -> Result<f64, String> {
    bounded(text, 1.0, 3600.0, "seconds")
}

fn part(text: &str) -> Result<f64, String> {
    bounded(text, 0.0, 0.5, "as a part of one")
}

fn bounded(text: &str, least: f64, most: f64, unit: &str) -> Result<f64, String> {
    text.parse()
        .ok()
        .filter(|value| (least..=most).contains(value))
        .ok_or_else(|| format!("a number from {least} to {most} is allowed, {unit}"))
}
