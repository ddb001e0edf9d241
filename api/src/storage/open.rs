//! Opening connections to the database, and bringing its tables up to date.

use diesel::connection::SimpleConnection;
use diesel::migration::{MigrationSource, MigrationVersion};
use diesel::r2d2::{ManageConnection, R2D2Connection};
use diesel_migrations::{EmbeddedMigrations, MigrationHarness, embed_migrations};

use super::{Connection, DatabaseUrl, StorageError, file, identity, server};

const SQLITE: EmbeddedMigrations = embed_migrations!("../migrations/sqlite");
const POSTGRES: EmbeddedMigrations = embed_migrations!("../migrations/postgres");

/// Makes connections for a pool. A file must be there.
#[derive(Debug)]
pub(super) struct Opener {
    pub(super) place: DatabaseUrl,
    pub(super) reader: bool,
}

impl ManageConnection for Opener {
    type Connection = Connection;
    type Error = diesel::r2d2::Error;

    fn connect(&self) -> Result<Connection, Self::Error> {
        match &self.place {
            DatabaseUrl::File(path) => file::open(path, self.reader).map(Connection::Sqlite),
            DatabaseUrl::Server(url, patience) => {
                server::open(url, *patience).map(Connection::Postgres)
            }
        }
    }

    fn is_valid(&self, conn: &mut Connection) -> Result<(), Self::Error> {
        conn.ping().map_err(diesel::r2d2::Error::QueryError)
    }

    fn has_broken(&self, conn: &mut Connection) -> bool {
        std::thread::panicking() || conn.is_broken()
    }
}

/// Runs the migrations a database lacks, and says which. Programs that start at the same time wait
/// for each other. A database that a newer program made is refused.
pub(super) fn bring_up_to_date(conn: &mut Connection) -> Result<Vec<String>, StorageError> {
    match conn {
        Connection::Sqlite(conn) => {
            let done = migrate(conn, SQLITE)?;
            identity::sign(conn)?;
            Ok(done)
        }
        Connection::Postgres(conn) => {
            const KEY: &str = "1937075319";
            server::take_time(conn)?;
            conn.batch_execute(&format!("SELECT pg_advisory_lock({KEY})"))?;
            let done = migrate(conn, POSTGRES);
            conn.batch_execute(&format!("SELECT pg_advisory_unlock({KEY})"))?;
            done
        }
    }
}

fn migrate<DB, C>(conn: &mut C, known: EmbeddedMigrations) -> Result<Vec<String>, StorageError>
where
    DB: diesel::backend::Backend,
    C: MigrationHarness<DB>,
    EmbeddedMigrations: MigrationSource<DB>,
{
    let failed =
        |error: Box<dyn std::error::Error + Send + Sync>| StorageError::Open(error.to_string());
    let ours: Vec<String> = known
        .migrations()
        .map_err(failed)?
        .iter()
        .map(|migration| migration.name().version().to_string())
        .collect();
    let strange: Vec<String> = conn
        .applied_migrations()
        .map_err(failed)?
        .iter()
        .map(MigrationVersion::to_string)
        .filter(|version| !ours.contains(version))
        .collect();
    if !strange.is_empty() {
        return Err(StorageError::Open(format!(
            "a newer version of Fizzwright made it: the migrations {} are not known to this one \
             ({}); start the newer program, or restore a copy from before",
            strange.join(", "),
            env!("CARGO_PKG_VERSION")
        )));
    }
    let done = conn.run_pending_migrations(known).map_err(failed)?;
    Ok(done.iter().map(ToString::to_string).collect())
}
