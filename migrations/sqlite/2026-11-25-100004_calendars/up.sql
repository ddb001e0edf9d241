-- Calendar feeds. Only a hash of the secret address is kept.
CREATE TABLE calendars (
    id          TEXT NOT NULL PRIMARY KEY,
    site        TEXT NOT NULL REFERENCES sites (id),
    crew_role   TEXT,
    note        TEXT,
    secret_hash TEXT NOT NULL,
    created_at  TEXT NOT NULL,
    CONSTRAINT calendars_secret UNIQUE (secret_hash)
) STRICT;
CREATE INDEX calendars_by_site ON calendars (site, id);
