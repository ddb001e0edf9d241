-- Calendar feeds. Only a hash of the secret address is kept.
CREATE TABLE calendars (
    id          TEXT COLLATE "C" NOT NULL PRIMARY KEY,
    site        TEXT COLLATE "C" NOT NULL REFERENCES sites (id),
    crew_role   TEXT COLLATE "C",
    note        TEXT,
    secret_hash TEXT COLLATE "C" NOT NULL,
    created_at  TIMESTAMP        NOT NULL,
    CONSTRAINT calendars_secret UNIQUE (secret_hash)
);
CREATE INDEX calendars_by_site ON calendars (site, id);
