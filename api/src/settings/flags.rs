//! Settings on the command line.

use std::net::SocketAddr;
use std::path::PathBuf;

use clap::Args;
use serde::Serialize;

use super::LogFormat;

/// Settings on the command line. Each can also stand in the environment, as `FIZZWRIGHT_` and its
/// name, and in a file; `fizzwright config` shows what holds.
#[derive(Debug, Clone, Default, Args, Serialize)]
pub(crate) struct Flags {
    /// A file with settings (TOML).
    #[arg(long, value_name = "FILE", env = "FIZZWRIGHT_CONFIG")]
    #[serde(skip)]
    pub(crate) config: Option<PathBuf>,
    /// Address and port to listen on; port 0 takes a free one [default: 127.0.0.1:8480].
    #[arg(long)]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) listen: Option<SocketAddr>,
    /// The database: a file, which is made if there is none, or the URL of a PostgreSQL database
    /// [default: fizzwright.sqlite].
    #[arg(long, value_name = "FILE|URL")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) database: Option<String>,
    /// Plans that are made at the same time, 1 to 16 [default: 1].
    #[arg(long, value_name = "COUNT")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) solvers: Option<u8>,
    /// Searches of one site that may be queued or running [default: 100].
    #[arg(long, value_name = "COUNT")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) open_searches_per_site: Option<u32>,
    /// Searches of one key or person that may be queued or running [default: 200].
    #[arg(long, value_name = "COUNT")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) open_searches_per_caller: Option<u32>,
    /// The longest time limit that may be asked for, in seconds, 1 to 3600 [default: 3600].
    #[arg(long, value_name = "SECONDS")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) longest_time_limit_s: Option<f64>,
    /// Megabytes that one search may take, as estimated before it begins [default: 2000].
    #[arg(long, value_name = "MEGABYTES")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) largest_search_mb: Option<u32>,
    /// Seconds that answers in hand are given when the service is told to stop [default: 10].
    #[arg(long, value_name = "SECONDS")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) shutdown_grace_s: Option<u16>,
    /// How the log is written [default: text].
    #[arg(long, value_name = "FORMAT")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) log: Option<LogFormat>,
    /// Seconds a request waits for a PostgreSQL database, 1 to 600 [default: 15].
    #[arg(long, value_name = "SECONDS")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) database_timeout_seconds: Option<u64>,
    /// Minutes the oldest plan may wait while none is being made, before /readyz says so; 0 for ever
    /// [default: 10].
    #[arg(long, value_name = "MINUTES")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) ready_queue_minutes: Option<u32>,
    /// Days for which plans and questions are kept; 0 for ever [default: 730].
    #[arg(long, value_name = "DAYS")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) keep_plans_days: Option<u32>,
    /// Days for which events are kept; 0 for ever [default: 730].
    #[arg(long, value_name = "DAYS")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) keep_events_days: Option<u32>,
    /// Days for which entries of the audit trail are kept; 0 for ever [default: 730].
    #[arg(long, value_name = "DAYS")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) keep_audit_days: Option<u32>,
    /// Days for which readings are kept; 0 for ever [default: 730].
    #[arg(long, value_name = "DAYS")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) keep_readings_days: Option<u32>,
    /// Days for which deliveries to webhooks are kept; 0 for ever [default: 730].
    #[arg(long, value_name = "DAYS")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) keep_deliveries_days: Option<u32>,
    /// Days for which revisions of a setup are kept; 0 for ever [default: 730].
    #[arg(long, value_name = "DAYS")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) keep_setup_revisions_days: Option<u32>,
    /// Requests a key or person may send in a minute; 0 for no limit [default: 6000].
    #[arg(long, value_name = "COUNT")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) requests_per_minute: Option<u32>,
    /// Seconds to wait for more of a body that is on its way, 1 to 600 [default: 20].
    #[arg(long, value_name = "SECONDS")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) body_timeout_s: Option<u16>,
    /// Web pages of this origin may use the service from a browser; can be given again.
    #[arg(long = "allowed-origin", value_name = "ORIGIN")]
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(crate) allowed_origins: Vec<String>,
    /// Believe this proxy, an address or a network, where a request comes from (`Forwarded`); can be
    /// given again.
    #[arg(long = "trusted-proxy", value_name = "ADDRESS")]
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(crate) trusted_proxies: Vec<String>,
    /// Browsers send a session over TLS only.
    #[arg(long)]
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub(crate) secure_cookies: bool,
    /// Minutes after which a session that nobody uses ends; 0 for none [default: 120].
    #[arg(long, value_name = "MINUTES")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) session_idle_minutes: Option<u32>,
    /// Webhooks may lead into private networks and to plain http, as for a till in the house.
    #[arg(long)]
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub(crate) private_webhooks: bool,
    /// Send traces to this receiver of OTLP over HTTP, such as http://127.0.0.1:4318.
    #[arg(long, value_name = "URL")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) otlp_endpoint: Option<String>,
    /// Write the first key to this file instead of printing it.
    #[arg(long, value_name = "FILE")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) key_file: Option<PathBuf>,
}
