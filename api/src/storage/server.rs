//! A database on a PostgreSQL server: how it is connected to, and how long anything may take.

use std::time::Duration;

use diesel::connection::SimpleConnection;
use diesel::{PgConnection, RunQueryDsl};

use super::{process, result_codes};

/// How long anything may take. Whoever can tell most gives up first.
#[derive(Debug, Clone, Copy)]
struct Limits {
    /// How long a transaction may do nothing. A process that froze in one gives way to others then.
    idle: Duration,
    /// How long a statement may wait for a lock: longer than a frozen writer keeps it.
    lock: Duration,
    /// How long a statement may take, its wait for a lock included.
    statement: Duration,
}

impl Limits {
    /// Limits that end before a request gives up, so that it need do so only if the server says
    /// nothing at all.
    fn within(patience: Duration) -> Self {
        Self {
            idle: patience / 3,
            lock: patience * 8 / 15,
            statement: patience * 2 / 3,
        }
    }
}

/// What libpq is told where the URL does not say otherwise: how long to try to connect, and how
/// soon a connection counts as lost whose other end does not answer.
const MANNERS: [(&str, &str); 6] = [
    ("connect_timeout", "5"),
    ("tcp_user_timeout", "10000"),
    ("keepalives", "1"),
    ("keepalives_idle", "5"),
    ("keepalives_interval", "2"),
    ("keepalives_count", "3"),
];

/// Connects. A writer that waits too long gives up, and one that went away loses the lock.
pub(super) fn open(url: &str, patience: Duration) -> Result<PgConnection, diesel::r2d2::Error> {
    let mut conn = <PgConnection as diesel::Connection>::establish(&mannered(url))
        .map_err(diesel::r2d2::Error::ConnectionError)?;
    let limits = Limits::within(patience);
    result_codes::watch_server(&mut conn, limits.lock);
    conn.batch_execute(&format!(
        "SET lock_timeout = {}; SET statement_timeout = {}; \
         SET idle_in_transaction_session_timeout = {}; SET tcp_user_timeout = {}; \
         SET client_min_messages = warning;",
        limits.lock.as_millis(),
        limits.statement.as_millis(),
        limits.idle.as_millis(),
        patience.as_millis(),
    ))
    .map_err(diesel::r2d2::Error::QueryError)?;
    // Other processes see by it which of them are there.
    diesel::sql_query("SELECT set_config('application_name', $1, false)")
        .bind::<diesel::sql_types::Text, _>(process::name())
        .execute(&mut conn)
        .map_err(diesel::r2d2::Error::QueryError)?;
    Ok(conn)
}

/// Whether a process of that name is connected. Of other users' processes the name is hidden.
pub(super) fn is_there(conn: &mut PgConnection, name: &str) -> diesel::QueryResult<bool> {
    let found = diesel::sql_query(
        "SELECT count(*) AS count FROM pg_stat_activity WHERE application_name = $1",
    )
    .bind::<diesel::sql_types::Text, _>(name)
    .get_result::<Count>(conn)?;
    Ok(found.count > 0)
}

#[derive(diesel::QueryableByName)]
struct Count {
    #[diesel(sql_type = diesel::sql_types::BigInt)]
    count: i64,
}

/// Lifts the limits, for migrations.
pub(super) fn take_time(conn: &mut PgConnection) -> diesel::QueryResult<()> {
    conn.batch_execute("SET lock_timeout = 0; SET statement_timeout = 0")
}

fn mannered(url: &str) -> String {
    let mut full = url.to_owned();
    let said = url.split_once('?').map_or("", |(_, query)| query);
    let said: Vec<&str> = said
        .split('&')
        .filter_map(|pair| pair.split('=').next())
        .collect();
    for (name, value) in MANNERS {
        if !said.contains(&name) {
            full.push(if full.contains('?') { '&' } else { '?' });
            full.push_str(&format!("{name}={value}"));
        }
    }
    full
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_url_says_holds() {
        let full = mannered("postgres:///x?host=/run&connect_timeout=60");
        assert!(full.starts_with("postgres:///x?host=/run&connect_timeout=60&tcp_user_timeout="));
        assert_eq!(full.matches("connect_timeout").count(), 1);
        assert!(mannered("postgres://h/x").starts_with("postgres://h/x?connect_timeout=5&"));
    }

    #[test]
    fn limits_are_kept_in_the_order_of_who_gives_up_first() {
        let patience = Duration::from_secs(15);
        let limits = Limits::within(patience);
        assert!(limits.idle < limits.lock);
        assert!(limits.lock < limits.statement);
        assert!(limits.statement < patience);
    }
}
