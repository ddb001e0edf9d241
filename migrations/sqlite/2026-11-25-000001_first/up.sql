-- Instants are UTC text that sorts; documents are JSON text, checked again when they are read.

CREATE TABLE sites (
    id         TEXT    NOT NULL PRIMARY KEY,
    revision   INTEGER NOT NULL,
    document   TEXT    NOT NULL,
    changed_at TEXT    NOT NULL
) STRICT;

CREATE TABLE setup_revisions (
    site       TEXT    NOT NULL REFERENCES sites (id),
    revision   INTEGER NOT NULL,
    document   TEXT    NOT NULL,
    created_at TEXT    NOT NULL,
    PRIMARY KEY (site, revision)
) STRICT;

CREATE TABLE demand (
    site       TEXT    NOT NULL REFERENCES sites (id),
    id         TEXT    NOT NULL,
    product    TEXT    NOT NULL,
    due        TEXT    NOT NULL,
    litres     REAL    NOT NULL,
    priority   INTEGER NOT NULL,
    kind       TEXT    NOT NULL,
    note       TEXT,
    changed_at TEXT    NOT NULL,
    PRIMARY KEY (site, id)
) STRICT;
CREATE INDEX demand_by_due ON demand (site, due);

CREATE TABLE stock_entries (
    seq         INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    site        TEXT    NOT NULL REFERENCES sites (id),
    reference   TEXT    NOT NULL,
    at          TEXT    NOT NULL,
    kind        TEXT    NOT NULL,
    document    TEXT    NOT NULL,
    recorded_at TEXT    NOT NULL,
    CONSTRAINT stock_entries_reference UNIQUE (site, reference)
) STRICT;
CREATE INDEX stock_entries_by_time ON stock_entries (site, at, seq);

CREATE TABLE plans (
    id               TEXT    NOT NULL PRIMARY KEY,
    site             TEXT    NOT NULL REFERENCES sites (id),
    state            TEXT    NOT NULL,
    setup_revision   INTEGER NOT NULL,
    request          TEXT    NOT NULL,
    scenario         TEXT    NOT NULL,
    result           TEXT,
    failure          TEXT,
    progress         TEXT    NOT NULL,
    cancel_requested INTEGER NOT NULL DEFAULT 0,
    attempts         INTEGER NOT NULL DEFAULT 0,
    lease_owner      TEXT,
    lease_until      TEXT,
    created_at       TEXT    NOT NULL,
    started_at       TEXT,
    finished_at      TEXT
) STRICT;
CREATE INDEX plans_by_site ON plans (site, id);
CREATE INDEX plans_open ON plans (created_at) WHERE state IN ('queued', 'running');

-- What was counted and what was set up are records: they are added to, never rewritten.
CREATE TRIGGER stock_entries_are_kept BEFORE DELETE ON stock_entries
BEGIN SELECT RAISE (ABORT, 'stock entries are append-only'); END;
CREATE TRIGGER stock_entries_are_not_rewritten BEFORE UPDATE ON stock_entries
BEGIN SELECT RAISE (ABORT, 'stock entries are append-only'); END;
CREATE TRIGGER setup_revisions_are_kept BEFORE DELETE ON setup_revisions
BEGIN SELECT RAISE (ABORT, 'setup revisions are append-only'); END;
CREATE TRIGGER setup_revisions_are_not_rewritten BEFORE UPDATE ON setup_revisions
BEGIN SELECT RAISE (ABORT, 'setup revisions are append-only'); END;
