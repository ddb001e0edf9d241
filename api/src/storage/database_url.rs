//! Where the database is: a file, or a PostgreSQL server.

use std::fmt;
use std::path::PathBuf;
use std::str::FromStr;
use std::time::Duration;

/// Where the database is.
#[derive(Clone, PartialEq, Eq)]
pub(crate) enum DatabaseUrl {
    /// A file of SQLite's.
    File(PathBuf),
    /// A database on a PostgreSQL server, by its URL, and how long a request waits for it.
    Server(String, Duration),
}

/// How long a request waits for a server where nothing is said.
pub(crate) const PATIENCE: Duration = Duration::from_secs(15);

impl DatabaseUrl {
    /// The same place, for which a request waits so long.
    pub(crate) fn with_patience(self, patience: Duration) -> Self {
        match self {
            Self::Server(url, _) => Self::Server(url, patience),
            file @ Self::File(_) => file,
        }
    }
}

/// Why a text names no database.
#[derive(Debug, thiserror::Error)]
pub(crate) enum BadDatabaseUrl {
    #[error("nothing found; a file name or a URL that begins with postgres:// is allowed")]
    Empty,
    #[error("{0}:// found; a file name or a URL that begins with postgres:// is allowed")]
    Scheme(String),
}

impl FromStr for DatabaseUrl {
    type Err = BadDatabaseUrl;

    fn from_str(text: &str) -> Result<Self, BadDatabaseUrl> {
        match text.split_once("://") {
            Some(("postgres" | "postgresql", _)) => Ok(Self::Server(text.to_owned(), PATIENCE)),
            Some((scheme, _)) => Err(BadDatabaseUrl::Scheme(scheme.to_owned())),
            None if text.trim().is_empty() => Err(BadDatabaseUrl::Empty),
            None => Ok(Self::File(PathBuf::from(text))),
        }
    }
}

/// Without the password: this goes to logs and screens.
impl fmt::Display for DatabaseUrl {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::File(path) => path.display().fmt(f),
            Self::Server(url, _) => f.write_str(&without_password(url)),
        }
    }
}

impl fmt::Debug for DatabaseUrl {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

/// What a URL says about host and database; the password, and whatever else may hold one, is left
/// out.
fn without_password(url: &str) -> String {
    let (scheme, rest) = url.split_once("://").unwrap_or(("postgres", url));
    let (rest, query) = rest.split_once('?').unwrap_or((rest, ""));
    let (user, host) = rest.rsplit_once('@').unwrap_or(("", rest));
    let user = user.split(':').next().unwrap_or_default();
    let at = if user.is_empty() { "" } else { "@" };
    let shown: Vec<&str> = query
        .split('&')
        .filter(|part| !part.is_empty() && !part.starts_with("password"))
        .collect();
    let mark = if shown.is_empty() { "" } else { "?" };
    format!("{scheme}://{user}{at}{host}{mark}{}", shown.join("&"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_and_servers_are_told_apart() {
        assert_eq!(
            "a.sqlite".parse::<DatabaseUrl>().unwrap(),
            DatabaseUrl::File("a.sqlite".into())
        );
        assert!(matches!(
            "postgresql://h/d".parse(),
            Ok(DatabaseUrl::Server(..))
        ));
        assert!("mysql://h/d".parse::<DatabaseUrl>().is_err());
        assert!(" ".parse::<DatabaseUrl>().is_err());
    }

    #[test]
    fn a_password_is_never_shown() {
        let check = |url: &str, shown: &str| {
            assert_eq!(url.parse::<DatabaseUrl>().unwrap().to_string(), shown);
        };
        check("postgres://bar:s3c:r@t@db/fizz", "postgres://bar@db/fizz");
        check(
            "postgres:///fizz?host=/run/pg&password=secret&user=bar",
            "postgres:///fizz?host=/run/pg&user=bar",
        );
        check("postgres://db/fizz", "postgres://db/fizz");
    }
}
