-- What other systems call a site's products, kegs and materials.

CREATE TABLE codes (
    site       TEXT    NOT NULL PRIMARY KEY REFERENCES sites (id),
    revision   INTEGER NOT NULL,
    document   TEXT    NOT NULL,
    changed_at TEXT    NOT NULL
) STRICT;
