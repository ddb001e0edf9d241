//! Whether the database takes writes, asked by writing.

use diesel::prelude::*;

use super::schema::event_counter;
use super::{Connection, StorageError};

/// Writes a row as it is. It must be written inside a transaction of its own.
pub(crate) fn write(conn: &mut Connection) -> Result<(), StorageError> {
    diesel::update(event_counter::table)
        .set(event_counter::last.eq(event_counter::last))
        .execute(conn)?;
    Ok(())
}
