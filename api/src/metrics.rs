//! What the service counts, for Prometheus to fetch.

use std::sync::OnceLock;
use std::time::Duration;

use prometheus::{
    Encoder, Histogram, HistogramOpts, HistogramVec, IntCounterVec, IntGauge, IntGaugeVec, Opts,
    Registry, TextEncoder,
};

struct Metrics {
    registry: Registry,
    requests: IntCounterVec,
    seconds: HistogramVec,
    solves: IntCounterVec,
    solve_seconds: Histogram,
    gap: Histogram,
    plans: IntGaugeVec,
    deliveries: IntCounterVec,
    dead_threads: IntCounterVec,
    left_behind: IntGauge,
}

/// One set for the process; without it, nothing is counted.
static METRICS: OnceLock<Option<Metrics>> = OnceLock::new();

fn metrics() -> Option<&'static Metrics> {
    METRICS
        .get_or_init(|| match Metrics::new() {
            Ok(metrics) => Some(metrics),
            Err(error) => {
                tracing::error!(%error, "nothing is counted");
                None
            }
        })
        .as_ref()
}

impl Metrics {
    fn new() -> Result<Self, prometheus::Error> {
        let registry = Registry::new();
        let histogram = |name: &str, help: &str, buckets: &[f64]| {
            HistogramOpts::new(name, help).buckets(buckets.to_vec())
        };
        let made = Self {
            requests: IntCounterVec::new(
                Opts::new("fizzwright_requests_total", "Requests answered"),
                &["operation", "status"],
            )?,
            seconds: HistogramVec::new(
                histogram(
                    "fizzwright_request_seconds",
                    "Time to an answer",
                    &[0.001, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 1.0, 5.0, 30.0],
                ),
                &["operation"],
            )?,
            solves: IntCounterVec::new(
                Opts::new("fizzwright_solves_total", "Plans searched, by how it ended"),
                &["outcome"],
            )?,
            solve_seconds: Histogram::with_opts(histogram(
                "fizzwright_solve_seconds",
                "Time to search a plan",
                &[0.5, 1.0, 2.0, 5.0, 10.0, 30.0, 60.0, 300.0, 1800.0],
            ))?,
            gap: Histogram::with_opts(histogram(
                "fizzwright_plan_gap",
                "Distance of a plan to its proven bound, as a part of the bound",
                &[0.0001, 0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1],
            ))?,
            plans: IntGaugeVec::new(
                Opts::new("fizzwright_plans", "Plans waiting or being searched"),
                &["state"],
            )?,
            deliveries: IntCounterVec::new(
                Opts::new("fizzwright_deliveries_total", "Webhook deliveries tried"),
                &["outcome"],
            )?,
            dead_threads: IntCounterVec::new(
                Opts::new(
                    "fizzwright_thread_deaths_total",
                    "Threads that died and were started again",
                ),
                &["thread"],
            )?,
            left_behind: IntGauge::new(
                "fizzwright_runs_left_behind",
                "Runs of the solver that nobody waits for any more and that have not ended",
            )?,
            registry,
        };
        made.register()?;
        Ok(made)
    }

    fn register(&self) -> Result<(), prometheus::Error> {
        self.registry.register(Box::new(self.requests.clone()))?;
        self.registry.register(Box::new(self.seconds.clone()))?;
        self.registry.register(Box::new(self.solves.clone()))?;
        self.registry
            .register(Box::new(self.solve_seconds.clone()))?;
        self.registry.register(Box::new(self.gap.clone()))?;
        self.registry.register(Box::new(self.plans.clone()))?;
        self.registry.register(Box::new(self.deliveries.clone()))?;
        self.registry.register(Box::new(self.left_behind.clone()))?;
        self.registry.register(Box::new(self.dead_threads.clone()))
    }
}

/// Counts an answered request.
pub(crate) fn answered(operation: &str, status: u16, took: Duration) {
    let Some(metrics) = metrics() else { return };
    let status = status.to_string();
    metrics
        .requests
        .with_label_values(&[operation, &status])
        .inc();
    metrics
        .seconds
        .with_label_values(&[operation])
        .observe(took.as_secs_f64());
}

/// Counts a search that has ended.
pub(crate) fn solved(outcome: &str, took: Duration, gap: Option<f64>) {
    let Some(metrics) = metrics() else { return };
    metrics.solves.with_label_values(&[outcome]).inc();
    metrics.solve_seconds.observe(took.as_secs_f64());
    if let Some(gap) = gap {
        metrics.gap.observe(gap);
    }
}

/// Counts a delivery that was tried.
pub(crate) fn delivered(outcome: &str) {
    if let Some(metrics) = metrics() {
        metrics.deliveries.with_label_values(&[outcome]).inc();
    }
}

/// Counts a thread that died.
pub(crate) fn thread_died(name: &str) {
    if let Some(metrics) = metrics() {
        metrics.dead_threads.with_label_values(&[name]).inc();
    }
}

/// Everything that was counted, as Prometheus reads it. `queue` says how many plans wait or run.
pub(crate) fn text(queue: &[(&'static str, i64)]) -> Option<String> {
    let metrics = metrics()?;
    for (state, count) in queue {
        metrics.plans.with_label_values(&[state]).set(*count);
    }
    let left = scheduler::milp::runs_left_behind();
    metrics
        .left_behind
        .set(i64::try_from(left).unwrap_or(i64::MAX));
    let mut bytes = Vec::new();
    let families = metrics.registry.gather();
    TextEncoder::new().encode(&families, &mut bytes).ok()?;
    String::from_utf8(bytes).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_counted_is_told() {
        answered("read_site", 200, Duration::from_millis(3));
        solved("done", Duration::from_secs(2), Some(0.0005));
        let text = text(&[("queued", 2)]).unwrap();
        for line in [
            "fizzwright_requests_total{operation=\"read_site\",status=\"200\"} 1",
            "fizzwright_solves_total{outcome=\"done\"} 1",
            "fizzwright_plan_gap_bucket{le=\"0.001\"} 1",
            "fizzwright_plans{state=\"queued\"} 2",
        ] {
            assert!(text.contains(line), "{line} is not in\n{text}");
        }
    }
}
