//! What queries run on: either kind of database behind one type, so that a query is written once.
//!
//! A query that only one of them could answer does not compile. `ON CONFLICT` and JSON columns are
//! among those: look first and insert then, which is safe because writers wait for each other, and
//! keep documents as text.

#![allow(
    unreachable_pub,
    missing_docs,
    reason = "the macro writes public items of its own"
)]

use diesel::connection::{AnsiTransactionManager, TransactionManager};
use diesel::{PgConnection, QueryResult, SqliteConnection};

#[derive(diesel::MultiConnection)]
pub enum EitherConnection {
    Postgres(PgConnection),
    Sqlite(SqliteConnection),
}

type Transactions = <EitherConnection as diesel::Connection>::TransactionManager;

/// What a transaction is for.
#[derive(Debug, Clone, Copy)]
pub(super) enum Purpose {
    /// All queries see the same state.
    Read,
    /// All or nothing, and one writer after the other.
    Write,
}

/// Names the lock writers take on PostgreSQL.
const WRITERS: &str = "SELECT pg_advisory_xact_lock(1937075318)";

/// Begins a transaction.
///
/// Writers take turns on both databases. SQLite knows no other way; on PostgreSQL each takes a lock
/// first and looks at the database then, so that whatever it decides still holds when it writes.
/// No writer is ever told to try again.
pub(super) fn begin(conn: &mut EitherConnection, purpose: Purpose) -> QueryResult<()> {
    let begin_sqlite = AnsiTransactionManager::begin_transaction_sql::<SqliteConnection>;
    let begin_postgres = AnsiTransactionManager::begin_transaction_sql::<PgConnection>;
    match (conn, purpose) {
        (EitherConnection::Sqlite(conn), Purpose::Read) => begin_sqlite(conn, "BEGIN"),
        (EitherConnection::Sqlite(conn), Purpose::Write) => begin_sqlite(conn, "BEGIN IMMEDIATE"),
        (EitherConnection::Postgres(conn), Purpose::Read) => {
            begin_postgres(conn, "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY")
        }
        (EitherConnection::Postgres(conn), Purpose::Write) => {
            begin_postgres(conn, "BEGIN ISOLATION LEVEL READ COMMITTED")?;
            let locked = diesel::connection::SimpleConnection::batch_execute(conn, WRITERS);
            if locked.is_err() {
                AnsiTransactionManager::rollback_transaction(conn)?;
            }
            locked
        }
    }
}

/// Within a transaction, begins a part that can be undone by itself.
pub(super) fn set_mark(conn: &mut EitherConnection) -> QueryResult<()> {
    Transactions::begin_transaction(conn)
}

/// Ends what was begun last; what a transaction did stays then.
pub(super) fn commit(conn: &mut EitherConnection) -> QueryResult<()> {
    Transactions::commit_transaction(conn)
}

/// Undoes what was begun last.
pub(super) fn undo(conn: &mut EitherConnection) -> QueryResult<()> {
    Transactions::rollback_transaction(conn)
}
