//! Settings: from a file, from the environment and from flags, each stronger than the one before.

mod flags;
mod networks;
mod shown;

use std::net::SocketAddr;
use std::path::PathBuf;
use std::time::Duration;

use figment::Figment;
use figment::providers::{Env, Format, Serialized, Toml};
use ipnet::IpNet;
use serde::{Deserialize, Serialize};
use url::Url;

use crate::domain::keeping::{Days, Keeping};
use crate::domain::plans::TimeLimit;
use crate::domain::queue::Bounds;
use crate::storage::{BadDatabaseUrl, DatabaseUrl, PATIENCE};

pub(crate) use flags::Flags;

/// The longest grace at a stop, in seconds.
const LONGEST_GRACE_S: u16 = 600;

/// What the service is told about where and how it runs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Settings {
    /// Address and port to listen on; port 0 takes a free one.
    pub(crate) listen: SocketAddr,
    /// The database: a file, or the URL of a PostgreSQL database.
    pub(crate) database: String,
    /// Plans that are made at the same time.
    pub(crate) solvers: u8,
    /// Searches of one site that may be open, which is queued or running.
    pub(crate) open_searches_per_site: u32,
    /// Searches of one key or person that may be open.
    pub(crate) open_searches_per_caller: u32,
    /// The longest time limit that may be asked for, in seconds.
    pub(crate) longest_time_limit_s: f64,
    /// Megabytes that one search may take, as estimated before it begins.
    pub(crate) largest_search_mb: u32,
    /// Seconds that answers in hand are given when the service is told to stop.
    pub(crate) shutdown_grace_s: u16,
    /// How the log is written.
    pub(crate) log: LogFormat,
    /// Seconds a request waits for a database on a server.
    pub(crate) database_timeout_seconds: u64,
    /// Minutes the oldest plan may wait while none is being made, before the service is not ready;
    /// 0 for ever.
    pub(crate) ready_queue_minutes: u32,
    /// Days for which plans and questions are kept; 0 for ever.
    pub(crate) keep_plans_days: u32,
    /// Days for which events are kept; 0 for ever.
    pub(crate) keep_events_days: u32,
    /// Days for which entries of the audit trail are kept; 0 for ever.
    pub(crate) keep_audit_days: u32,
    /// Days for which readings are kept; 0 for ever.
    pub(crate) keep_readings_days: u32,
    /// Days for which deliveries to webhooks are kept; 0 for ever.
    pub(crate) keep_deliveries_days: u32,
    /// Days for which revisions of a setup are kept; 0 for ever.
    pub(crate) keep_setup_revisions_days: u32,
    /// Requests a key or person may send in a minute; 0 for no limit.
    pub(crate) requests_per_minute: u32,
    /// Seconds to wait for more of a body that is on its way.
    pub(crate) body_timeout_s: u16,
    /// Web pages of these origins may use the service from a browser.
    pub(crate) allowed_origins: Vec<String>,
    /// Proxies, by address or network, that say by `Forwarded` (RFC 7239) where a request comes from.
    pub(crate) trusted_proxies: Vec<String>,
    /// Whether browsers are to send a session over TLS only.
    pub(crate) secure_cookies: bool,
    /// Minutes after which a session that nobody uses ends; 0 for none.
    pub(crate) session_idle_minutes: u32,
    /// Whether webhooks may lead into private networks, and to plain http.
    pub(crate) private_webhooks: bool,
    /// Where traces are sent: a receiver of OTLP over HTTP, such as `http://127.0.0.1:4318`; nowhere
    /// where nothing is said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) otlp_endpoint: Option<Url>,
    /// Where the first key is written to instead of being printed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) key_file: Option<PathBuf>,
}

/// How the log is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, clap::ValueEnum)]
#[serde(rename_all = "lowercase")]
pub(crate) enum LogFormat {
    /// Lines for people.
    Text,
    /// One JSON object a line, for programs.
    Json,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            listen: SocketAddr::from(([127, 0, 0, 1], 8480)),
            database: "fizzwright.sqlite".to_owned(),
            solvers: 1,
            open_searches_per_site: 100,
            open_searches_per_caller: 200,
            longest_time_limit_s: TimeLimit::MAX,
            largest_search_mb: 2000,
            shutdown_grace_s: 10,
            log: LogFormat::Text,
            database_timeout_seconds: PATIENCE.as_secs(),
            ready_queue_minutes: 10,
            keep_plans_days: Days::USUAL,
            keep_events_days: Days::USUAL,
            keep_audit_days: Days::USUAL,
            keep_readings_days: Days::USUAL,
            keep_deliveries_days: Days::USUAL,
            keep_setup_revisions_days: Days::USUAL,
            requests_per_minute: 6000,
            body_timeout_s: 20,
            allowed_origins: Vec::new(),
            trusted_proxies: Vec::new(),
            secure_cookies: false,
            session_idle_minutes: 120,
            private_webhooks: false,
            otlp_endpoint: None,
            key_file: None,
        }
    }
}

/// Settings, and where each came from.
pub(crate) struct ResolvedSettings {
    pub(crate) settings: Settings,
    sources: Figment,
}

/// Looks for settings everywhere.
///
/// # Errors
/// One message for each thing that cannot be used: which setting, where it stands, what is allowed.
pub(crate) fn find(flags: &Flags) -> Result<ResolvedSettings, Vec<String>> {
    let mut sources = Figment::from(Serialized::defaults(Settings::default()));
    if let Some(file) = &flags.config {
        if !file.is_file() {
            return Err(vec![format!(
                "--config {}: there is no such file",
                file.display()
            )]);
        }
        sources = sources.merge(Toml::file_exact(file));
    }
    let sources = sources
        .merge(Env::prefixed("FIZZWRIGHT_").ignore(&["config"]))
        .merge(Serialized::defaults(flags));
    let settings: Settings = sources.extract().map_err(|errors| {
        errors
            .into_iter()
            .map(|error| explained(&error))
            .collect::<Vec<_>>()
    })?;
    let wrong = settings.faults();
    if wrong.is_empty() {
        Ok(ResolvedSettings { settings, sources })
    } else {
        Err(wrong)
    }
}

/// What is wrong with one setting, and where it stands.
fn explained(error: &figment::Error) -> String {
    let name = error.path.join(".");
    let place = error.metadata.as_ref().map_or(String::new(), |metadata| {
        let source = metadata.source.as_ref();
        let file = source.map_or(String::new(), |source| format!(" ({source})"));
        format!(", in {}{file}", metadata.name)
    });
    let name = if name.is_empty() { "settings" } else { &name };
    format!("{name}: {}{place}", error.kind)
}

impl Settings {
    /// The database as a place.
    pub(crate) fn place(&self) -> Result<DatabaseUrl, String> {
        let place = self.database.parse();
        let place: DatabaseUrl =
            place.map_err(|error: BadDatabaseUrl| format!("database: {error}"))?;
        Ok(place.with_patience(Duration::from_secs(self.database_timeout_seconds)))
    }

    /// How long records are kept.
    pub(crate) fn keeping(&self) -> Keeping {
        Keeping {
            plans: Days(self.keep_plans_days),
            events: Days(self.keep_events_days),
            audit: Days(self.keep_audit_days),
            readings: Days(self.keep_readings_days),
            deliveries: Days(self.keep_deliveries_days),
            setup_revisions: Days(self.keep_setup_revisions_days),
        }
    }

    /// How long to wait for more of a body.
    pub(crate) fn body_timeout(&self) -> Duration {
        Duration::from_secs(self.body_timeout_s.into())
    }

    /// The addresses and networks of the proxies that are trusted.
    pub(crate) fn proxies(&self) -> Result<Vec<IpNet>, String> {
        networks::parse(&self.trusted_proxies).map_err(|wrong| {
            format!(
                "trusted_proxies: \"{wrong}\" found; addresses and networks are allowed, such as \
                 10.0.0.7 or 10.0.0.0/8"
            )
        })
    }

    /// Bounds of what is searched in the background.
    pub(crate) fn bounds(&self) -> Bounds {
        Bounds {
            open_per_site: self.open_searches_per_site,
            open_per_caller: self.open_searches_per_caller,
            longest_time_limit_s: self.longest_time_limit_s,
            largest_search_mb: self.largest_search_mb,
        }
    }

    /// How long a session may be idle.
    pub(crate) fn session_idle(&self) -> Option<chrono::Duration> {
        let minutes = i64::from(self.session_idle_minutes);
        (minutes > 0).then(|| chrono::Duration::minutes(minutes))
    }

    /// What no type can say.
    fn faults(&self) -> Vec<String> {
        let mut wrong = Vec::new();
        wrong.extend(self.place().err());
        wrong.extend(self.proxies().err());
        if !(1..=16).contains(&self.solvers) {
            wrong.push(format!(
                "solvers: {} found; 1 to 16 are allowed",
                self.solvers
            ));
        }
        if !(1..=600).contains(&self.body_timeout_s) {
            wrong.push(format!(
                "body_timeout_s: {} found; 1 to 600 are allowed",
                self.body_timeout_s
            ));
        }
        for (name, found) in [
            ("open_searches_per_site", self.open_searches_per_site),
            ("open_searches_per_caller", self.open_searches_per_caller),
            ("largest_search_mb", self.largest_search_mb),
        ] {
            if found == 0 {
                wrong.push(format!("{name}: 0 found; 1 or more is allowed"));
            }
        }
        if let Err(error) = TimeLimit::new(self.longest_time_limit_s) {
            wrong.push(format!("longest_time_limit_s: {error}"));
        }
        if self.shutdown_grace_s > LONGEST_GRACE_S {
            wrong.push(format!(
                "shutdown_grace_s: {} found; 0 to {LONGEST_GRACE_S} is allowed",
                self.shutdown_grace_s
            ));
        }
        if !(1..=600).contains(&self.database_timeout_seconds) {
            wrong.push(format!(
                "database_timeout_seconds: {} found; 1 to 600 are allowed",
                self.database_timeout_seconds
            ));
        }
        if let Some(receiver) = &self.otlp_endpoint
            && !["http", "https"].contains(&receiver.scheme())
        {
            wrong.push(format!(
                "otlp_endpoint: \"{receiver}\" found; an address with http or https is allowed, such \
                 as http://127.0.0.1:4318"
            ));
        }
        for origin in &self.allowed_origins {
            let rest = origin
                .strip_prefix("https://")
                .or_else(|| origin.strip_prefix("http://"));
            if rest.is_none_or(|host| host.is_empty() || host.contains('/')) {
                wrong.push(format!(
                    "allowed_origins: \"{origin}\" found; scheme and host are allowed, such as \
                     https://board.example"
                ));
            }
        }
        wrong
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn with(text: &str) -> Result<ResolvedSettings, Vec<String>> {
        let dir = tempfile::tempdir().unwrap();
        let file = dir.path().join("fizzwright.toml");
        std::fs::write(&file, text).unwrap();
        find(&Flags {
            config: Some(file),
            ..Flags::default()
        })
    }

    #[test]
    fn a_flag_is_stronger_than_a_file() {
        let dir = tempfile::tempdir().unwrap();
        let file = dir.path().join("fizzwright.toml");
        std::fs::write(&file, "solvers = 2\nlog = \"json\"\n").unwrap();
        let found = find(&Flags {
            config: Some(file),
            solvers: Some(3),
            ..Flags::default()
        });
        let Ok(found) = found else {
            panic!("refused");
        };
        assert_eq!(found.settings.solvers, 3);
        assert_eq!(found.settings.log, LogFormat::Json);
        let shown = found.to_string();
        assert!(
            shown.contains("solvers = 3") && shown.contains("fizzwright.toml"),
            "{shown}"
        );
    }

    #[test]
    fn what_is_wrong_is_named_with_its_place() {
        let check = |text: &str, parts: &[&str]| {
            let Err(wrong) = with(text) else {
                panic!("{text} is taken");
            };
            for part in parts {
                assert!(wrong[0].contains(part), "{text}: {wrong:?}");
            }
        };
        check("solvers = \"two\"", &["solvers", "u8", "fizzwright.toml"]);
        check("solvers = 17", &["solvers", "1 to 16"]);
        check("body_timeout_s = 0", &["body_timeout_s", "1 to 600"]);
        check("solver = 1", &["solver", "unknown"]);
        check("open_searches_per_site = 0", &["open_searches_per_site"]);
        check(
            "longest_time_limit_s = 4000",
            &["longest_time_limit_s", "3600"],
        );
        check("shutdown_grace_s = 601", &["shutdown_grace_s", "600"]);
        check("database = \"mysql://h/d\"", &["database", "postgres://"]);
        check(
            "allowed_origins = [\"board\"]",
            &["allowed_origins", "https://"],
        );
        check(
            "trusted_proxies = [\"proxy\"]",
            &["trusted_proxies", "10.0.0.0/8"],
        );
        check("listen = \"here\"", &["listen"]);
        check(
            "otlp_endpoint = \"grpc://h:4317\"",
            &["otlp_endpoint", "http"],
        );
    }

    #[test]
    fn a_password_is_not_printed() {
        let Ok(found) = with("database = \"postgres://bar:secret@db/fizz\"") else {
            panic!("refused");
        };
        let shown = found.to_string();
        assert!(shown.contains("postgres://bar@db/fizz"), "{shown}");
        assert!(!shown.contains("secret"), "{shown}");
    }
}
