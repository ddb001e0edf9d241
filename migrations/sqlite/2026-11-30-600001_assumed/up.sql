-- What of a site's setup was filled in by a draft and nobody has changed since.

CREATE TABLE assumed (
    site     TEXT NOT NULL PRIMARY KEY REFERENCES sites (id),
    document TEXT NOT NULL
) STRICT;
