//! Numbers that were given out are not given again after a copy was put back.

use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel::sql_types::BigInt;

use crate::storage::StorageError;

/// How far the numbers of events jump where it is not known how far they had come: the database that
/// the copy was taken from is lost.
const JUMP: i64 = 1_000_000;

/// How far numbers have come, in the database that is replaced and in the copy.
#[derive(Debug, QueryableByName)]
pub(super) struct Numbers {
    /// The last number that was given out.
    #[diesel(sql_type = BigInt)]
    given: i64,
    #[diesel(sql_type = BigInt)]
    given_in_copy: i64,
    /// Whether the database has the copy's last event, and so came after it.
    #[diesel(sql_type = BigInt)]
    came_after: i64,
}

impl Numbers {
    /// Looks at both, before anything is replaced.
    pub(super) fn of(conn: &mut SqliteConnection) -> Result<Self, StorageError> {
        conn.batch_execute(
            "CREATE TEMP TABLE places_then AS SELECT name, seq FROM main.sqlite_sequence",
        )?;
        let found = diesel::sql_query(
            "SELECT (SELECT last FROM main.event_counter) AS given, \
                (SELECT last FROM copy.event_counter) AS given_in_copy, \
                EXISTS (SELECT 1 FROM main.events m JOIN copy.events c USING (seq, site, kind, at) \
                    WHERE c.seq = (SELECT max(seq) FROM copy.events)) AS came_after",
        );
        Ok(found.get_result(conn)?)
    }

    /// Goes on above the highest number ever given, and notes which of them are undone.
    pub(super) fn go_on(&self, conn: &mut SqliteConnection) -> Result<(), StorageError> {
        let highest = self.given.max(self.given_in_copy);
        let until = if self.came_after == 1 && self.given >= self.given_in_copy {
            highest
        } else {
            highest + JUMP
        };
        conn.batch_execute(&format!(
            "UPDATE main.event_counter SET last = {until};
             INSERT OR REPLACE INTO main.event_gaps (lost_after, lost_until, at)
                 SELECT coalesce(max(seq), 0), {until}, strftime('%Y-%m-%d %H:%M:%f', 'now')
                 FROM main.events HAVING coalesce(max(seq), 0) < {until};
             DELETE FROM main.sqlite_sequence;
             INSERT INTO main.sqlite_sequence (name, seq)
                 SELECT name, max(seq) FROM
                     (SELECT name, seq FROM copy.sqlite_sequence
                      UNION ALL SELECT name, seq FROM temp.places_then)
                 GROUP BY name;
             DROP TABLE temp.places_then;"
        ))?;
        Ok(())
    }
}
