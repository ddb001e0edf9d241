-- Browsers and addresses from which a person signed in before, as hashes: who guesses a password
-- elsewhere does not lock that person out there.
CREATE TABLE sign_in_places (
    person  TEXT NOT NULL REFERENCES people (id),
    kind    TEXT NOT NULL,
    hash    TEXT NOT NULL,
    seen_at TEXT NOT NULL,
    PRIMARY KEY (person, kind, hash)
) STRICT;
CREATE INDEX sign_in_places_by_hash ON sign_in_places (hash);
