//! Why a database refused a statement, where diesel does not pass it on.
//!
//! diesel knows the kinds of violated constraints and hides every other result code of SQLite and
//! every SQLSTATE of PostgreSQL. SQLite's extended result code is asked of the connection itself,
//! at the moment the statement ends. After a query that gives rows diesel has used the connection again
//! by then; what SQLite writes to its error log, on the same thread, tells the code of those. A
//! connection to PostgreSQL cannot be asked: there a statement
//! that took as long as the server allows it counts as one that was ended for it.

use std::cell::{Cell, RefCell};
use std::ffi::{CStr, c_char, c_int, c_void};
use std::ptr::null_mut;
use std::time::{Duration, Instant};

use diesel::connection::InstrumentationEvent;
use diesel::result::Error;
use diesel::{Connection, PgConnection, SqliteConnection};
use libsqlite3_sys::{
    SQLITE_CONFIG_LOG, SQLITE_OK, sqlite3, sqlite3_config, sqlite3_extended_errcode,
};

/// What is known of a refusal beyond diesel's error.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Cause {
    /// An extended result code of SQLite.
    Sqlite(c_int),
    /// PostgreSQL ended the statement because of a time limit.
    TimedOut,
}

thread_local! {
    /// The connection this thread opened last.
    static OPENED: Cell<*mut sqlite3> = const { Cell::new(null_mut()) };
    /// What SQLite logged last on this thread: a code and what it was about.
    static LOGGED: RefCell<Option<(c_int, String)>> = const { RefCell::new(None) };
    /// Why the last statement of this thread that failed did, and what was said of it.
    static LAST: RefCell<Option<(Cause, String)>> = const { RefCell::new(None) };
}

/// Notes a connection of SQLite's while it is being opened.
pub(super) fn opened(db: *mut sqlite3) {
    OPENED.set(db);
}

/// Has SQLite's errors logged to this module. It must be said before anything else is.
pub(super) fn listen() {
    let to: unsafe extern "C" fn(*mut c_void, c_int, *const c_char) = logged;
    // SAFETY: this setting takes a function of this type, which stays where it is, and what it is
    // called with first, which is not used.
    let done = unsafe { sqlite3_config(SQLITE_CONFIG_LOG, to, null_mut::<c_void>()) };
    if done != SQLITE_OK {
        tracing::warn!("some errors of SQLite's are not told apart (code {done})");
    }
}

unsafe extern "C" fn logged(_first: *mut c_void, code: c_int, text: *const c_char) {
    // SAFETY: SQLite passes a text that ends with a zero and stays for as long as this runs.
    let text = unsafe { CStr::from_ptr(text) };
    // A thread that is ending has nothing to note it in.
    let _ = LOGGED.try_with(|logged| {
        logged.replace(Some((code, text.to_string_lossy().into_owned())));
    });
}

/// The connection beneath one of diesel's.
struct Handle(*mut sqlite3);

// SAFETY: it is used only by the thread that uses diesel's connection, which may be sent as well.
unsafe impl Send for Handle {}

impl Handle {
    fn code(&self) -> c_int {
        // SAFETY: the function that has this handle belongs to diesel's connection, which is open
        // when it calls it.
        unsafe { sqlite3_extended_errcode(self.0) }
    }
}

/// Notes from now on why statements on a connection fail. It must be the one this thread opened
/// last.
pub(super) fn watch_file(conn: &mut SqliteConnection) {
    let handle = Handle(OPENED.replace(null_mut()));
    if handle.0.is_null() {
        return;
    }
    conn.set_instrumentation(move |event: InstrumentationEvent<'_>| {
        if let InstrumentationEvent::FinishQuery {
            error: Some(error), ..
        } = event
        {
            note(Cause::Sqlite(handle.code()), error);
        }
    });
}

/// Notes from now on which statements end because of a time limit, the shortest of which is given.
pub(super) fn watch_server(conn: &mut PgConnection, limit: Duration) {
    let mut begun = Instant::now();
    conn.set_instrumentation(move |event: InstrumentationEvent<'_>| match event {
        InstrumentationEvent::StartQuery { .. } => begun = Instant::now(),
        InstrumentationEvent::FinishQuery {
            error: Some(error), ..
        } if begun.elapsed() >= limit => {
            note(Cause::TimedOut, error);
        }
        _ => {}
    });
}

fn note(cause: Cause, error: &Error) {
    if let Error::DatabaseError(_, told) = error {
        LAST.set(Some((cause, told.message().to_owned())));
    }
}

/// Why a statement failed, if it was the last of this thread that did.
pub(super) fn cause_of(error: &Error) -> Option<Cause> {
    let Error::DatabaseError(_, told) = error else {
        return None;
    };
    let asked = LAST.with_borrow(|last| {
        let (cause, message) = last.as_ref()?;
        (message == told.message()).then_some(*cause)
    });
    asked.or_else(|| {
        LOGGED.with_borrow(|logged| {
            let (code, text) = logged.as_ref()?;
            text.contains(told.message())
                .then_some(Cause::Sqlite(*code))
        })
    })
}

#[cfg(test)]
mod tests {
    use diesel::connection::SimpleConnection;
    use libsqlite3_sys::{SQLITE_CONSTRAINT_PRIMARYKEY, SQLITE_READONLY};

    use diesel::RunQueryDsl;

    use super::super::file;
    use super::*;

    #[derive(Debug, diesel::QueryableByName)]
    #[allow(dead_code, reason = "no row ever comes")]
    struct Count {
        #[diesel(sql_type = diesel::sql_types::BigInt)]
        count: i64,
    }

    #[test]
    fn sqlite_is_asked_for_its_code() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("x.sqlite");
        file::keep_private(&path).unwrap();
        let mut conn = file::open(&path, false).unwrap();
        let mut code = |sql: &str| cause_of(&conn.batch_execute(sql).unwrap_err());
        assert_eq!(
            code("CREATE TABLE t (n INTEGER PRIMARY KEY); INSERT INTO t VALUES (1), (1)"),
            Some(Cause::Sqlite(SQLITE_CONSTRAINT_PRIMARYKEY))
        );
        assert_eq!(
            code("PRAGMA query_only = ON; DELETE FROM t"),
            Some(Cause::Sqlite(SQLITE_READONLY))
        );
        // One that gives rows.
        let rows = diesel::sql_query("INSERT INTO t (n) VALUES (?) RETURNING n AS count");
        let rows = rows.bind::<diesel::sql_types::BigInt, _>(7);
        let failed = rows.load::<Count>(&mut conn).err();
        let cause = failed.as_ref().and_then(cause_of);
        assert_eq!(cause, Some(Cause::Sqlite(SQLITE_READONLY)));
    }
}
