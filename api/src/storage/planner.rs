//! Keeps SQLite from preparing statements anew each time they are used.
//!
//! SQLite looks at the values that a statement is used with, such as those of LIMIT, to plan it
//! better, and so throws the plan away when they are bound again. The statements here are prepared
//! once and used often, and every query's plan is the same for all of its values.

use std::ffi::{c_char, c_int};
use std::ptr::null_mut;
use std::sync::Once;

use libsqlite3_sys::{
    SQLITE_DBCONFIG_ENABLE_QPSG, sqlite3, sqlite3_api_routines, sqlite3_auto_extension,
    sqlite3_db_config,
};

/// Sees to it that connections that are opened from now on keep their plans.
pub(super) fn keep_plans() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        super::result_codes::listen();
        // SAFETY: the function has the type SQLite calls it with, and stays where it is.
        let done = unsafe { sqlite3_auto_extension(Some(opened)) };
        if done != libsqlite3_sys::SQLITE_OK {
            tracing::warn!("SQLite prepares statements anew each time (code {done})");
        }
    });
}

/// The query planner stability guarantee, <https://www.sqlite.org/queryplanner-ng.html#qpstab>.
unsafe extern "C" fn opened(
    db: *mut sqlite3,
    _error: *mut *mut c_char,
    _routines: *const sqlite3_api_routines,
) -> c_int {
    super::result_codes::opened(db);
    // SAFETY: SQLite passes a connection that is open; this setting takes whether, and where to
    // write what it is then, which may be nowhere.
    unsafe { sqlite3_db_config(db, SQLITE_DBCONFIG_ENABLE_QPSG, 1, null_mut::<c_int>()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_connection_keeps_its_plans() {
        keep_plans();
        let mut db = null_mut();
        let mut kept: c_int = -1;
        // SAFETY: the name ends with a zero, and the connection is closed after its last use.
        unsafe {
            assert_eq!(
                libsqlite3_sys::sqlite3_open(c":memory:".as_ptr(), &mut db),
                0
            );
            sqlite3_db_config(db, SQLITE_DBCONFIG_ENABLE_QPSG, -1, &raw mut kept);
            libsqlite3_sys::sqlite3_close(db);
        }
        assert_eq!(kept, 1);
    }
}
