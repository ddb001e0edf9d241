-- Commitments: a question and what became of its answer.
CREATE TABLE commitments (
    id         TEXT COLLATE "C" NOT NULL PRIMARY KEY REFERENCES plans (id),
    site       TEXT COLLATE "C" NOT NULL REFERENCES sites (id),
    standing   TEXT COLLATE "C" NOT NULL,
    basis      BIGINT           NOT NULL,
    held_until TIMESTAMP,
    demand     TEXT
);
CREATE INDEX commitments_held ON commitments (standing, held_until);
