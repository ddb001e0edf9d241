-- Commitments: a question and what became of its answer.
CREATE TABLE commitments (
    id         TEXT    NOT NULL PRIMARY KEY REFERENCES plans (id),
    site       TEXT    NOT NULL REFERENCES sites (id),
    standing   TEXT    NOT NULL,
    basis      INTEGER NOT NULL,
    held_until TEXT,
    demand     TEXT
) STRICT;
CREATE INDEX commitments_held ON commitments (standing, held_until);
