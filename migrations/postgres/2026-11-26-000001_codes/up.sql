-- What other systems call a site's products, kegs and materials.

CREATE TABLE codes (
    site       TEXT COLLATE "C" NOT NULL PRIMARY KEY REFERENCES sites (id),
    revision   BIGINT           NOT NULL,
    document   TEXT             NOT NULL,
    changed_at TIMESTAMP        NOT NULL
);
