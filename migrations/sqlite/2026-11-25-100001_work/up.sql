-- A plan's life on the floor, and everything that happened in one order.

-- What is searched in the background: plans, and questions that are answered like one.
ALTER TABLE plans ADD COLUMN kind TEXT NOT NULL DEFAULT 'plan';
ALTER TABLE plans ADD COLUMN parent TEXT;
ALTER TABLE plans ADD COLUMN question TEXT;
ALTER TABLE plans ADD COLUMN answer TEXT;

CREATE TABLE publications (
    site         TEXT    NOT NULL REFERENCES sites (id),
    number       INTEGER NOT NULL,
    plan         TEXT    NOT NULL REFERENCES plans (id),
    published_by TEXT,
    published_at TEXT    NOT NULL,
    withdrawn_at TEXT,
    PRIMARY KEY (site, number)
) STRICT;
CREATE INDEX publications_by_plan ON publications (plan);

-- What became of work items; an item without a row is planned.
CREATE TABLE work_states (
    plan        TEXT NOT NULL REFERENCES plans (id),
    item        TEXT NOT NULL,
    state       TEXT NOT NULL,
    started_at  TEXT,
    ended_at    TEXT,
    out_until   TEXT,
    told_by     TEXT,
    note        TEXT,
    recorded_at TEXT NOT NULL,
    PRIMARY KEY (plan, item)
) STRICT;

CREATE TABLE readings (
    id          TEXT NOT NULL PRIMARY KEY,
    site        TEXT NOT NULL REFERENCES sites (id),
    plan        TEXT NOT NULL REFERENCES plans (id),
    item        TEXT NOT NULL,
    kind        TEXT NOT NULL,
    value       REAL NOT NULL,
    unit        TEXT NOT NULL,
    at          TEXT NOT NULL,
    told_by     TEXT,
    subject     TEXT,
    note        TEXT,
    recorded_at TEXT NOT NULL
) STRICT;
CREATE INDEX readings_by_item ON readings (plan, item, at);
CREATE INDEX readings_by_site ON readings (site, id);

-- The number of the last event. A transaction that adds events holds this row until it is over, so
-- events become visible in the order of their numbers on every database.
CREATE TABLE event_counter (
    id   INTEGER NOT NULL PRIMARY KEY,
    last INTEGER NOT NULL
) STRICT;
INSERT INTO event_counter (id, last) VALUES (1, 0);

CREATE TABLE events (
    seq      INTEGER NOT NULL PRIMARY KEY,
    site     TEXT    NOT NULL,
    kind     TEXT    NOT NULL,
    at       TEXT    NOT NULL,
    document TEXT    NOT NULL
) STRICT;
CREATE INDEX events_by_site ON events (site, seq);

CREATE TRIGGER events_are_kept BEFORE DELETE ON events
BEGIN SELECT RAISE (ABORT, 'events are append-only'); END;
CREATE TRIGGER events_are_not_rewritten BEFORE UPDATE ON events
BEGIN SELECT RAISE (ABORT, 'events are append-only'); END;
CREATE TRIGGER readings_are_kept BEFORE DELETE ON readings
BEGIN SELECT RAISE (ABORT, 'readings are append-only'); END;
CREATE TRIGGER readings_are_not_rewritten BEFORE UPDATE ON readings
BEGIN SELECT RAISE (ABORT, 'readings are append-only'); END;
