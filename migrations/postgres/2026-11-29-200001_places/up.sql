-- Browsers and addresses from which a person signed in before, as hashes: who guesses a password
-- elsewhere does not lock that person out there.
CREATE TABLE sign_in_places (
    person  TEXT COLLATE "C" NOT NULL REFERENCES people (id),
    kind    TEXT COLLATE "C" NOT NULL,
    hash    TEXT COLLATE "C" NOT NULL,
    seen_at TIMESTAMP        NOT NULL,
    PRIMARY KEY (person, kind, hash)
);
CREATE INDEX sign_in_places_by_hash ON sign_in_places (hash);
