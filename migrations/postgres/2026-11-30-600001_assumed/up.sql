-- What of a site's setup was filled in by a draft and nobody has changed since.

CREATE TABLE assumed (
    site     TEXT COLLATE "C" NOT NULL PRIMARY KEY REFERENCES sites (id),
    document TEXT             NOT NULL
);
