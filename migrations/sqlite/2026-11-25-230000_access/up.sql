-- Who may do what, who did what, and answers kept for repeats. Secrets are kept as hashes only.

CREATE TABLE api_keys (
    id         TEXT NOT NULL PRIMARY KEY,
    hash       TEXT NOT NULL,
    name       TEXT NOT NULL,
    scopes     TEXT NOT NULL,
    sites      TEXT,
    created_at TEXT NOT NULL,
    expires_at TEXT,
    revoked_at TEXT
) STRICT;

CREATE TABLE people (
    id         TEXT NOT NULL PRIMARY KEY,
    name       TEXT NOT NULL,
    password   TEXT NOT NULL,
    scopes     TEXT NOT NULL,
    sites      TEXT,
    created_at TEXT NOT NULL,
    CONSTRAINT people_name UNIQUE (name)
) STRICT;

CREATE TABLE sessions (
    id         TEXT NOT NULL PRIMARY KEY,
    hash       TEXT NOT NULL,
    person     TEXT NOT NULL REFERENCES people (id),
    expires_at TEXT NOT NULL
) STRICT;
CREATE INDEX sessions_by_person ON sessions (person);

CREATE TABLE audit (
    seq        INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    at         TEXT    NOT NULL,
    actor_kind TEXT    NOT NULL,
    actor_id   TEXT    NOT NULL,
    actor      TEXT    NOT NULL,
    operation  TEXT    NOT NULL,
    method     TEXT    NOT NULL,
    path       TEXT    NOT NULL,
    site       TEXT,
    request_id TEXT    NOT NULL
) STRICT;
CREATE INDEX audit_by_site ON audit (site, seq);

CREATE TABLE repeats (
    actor       TEXT    NOT NULL,
    key         TEXT    NOT NULL,
    fingerprint TEXT    NOT NULL,
    state       TEXT    NOT NULL,
    status      INTEGER,
    headers     TEXT,
    body        BLOB,
    begun_at    TEXT    NOT NULL,
    PRIMARY KEY (actor, key)
) STRICT;
CREATE INDEX repeats_by_time ON repeats (begun_at);

CREATE TRIGGER audit_is_kept BEFORE DELETE ON audit
BEGIN SELECT RAISE (ABORT, 'the audit trail is append-only'); END;
CREATE TRIGGER audit_is_not_rewritten BEFORE UPDATE ON audit
BEGIN SELECT RAISE (ABORT, 'the audit trail is append-only'); END;
