-- A plan's life on the floor, and everything that happened in one order.

-- What is searched in the background: plans, and questions that are answered like one.
ALTER TABLE plans ADD COLUMN kind TEXT COLLATE "C" NOT NULL DEFAULT 'plan';
ALTER TABLE plans ADD COLUMN parent TEXT COLLATE "C";
ALTER TABLE plans ADD COLUMN question TEXT;
ALTER TABLE plans ADD COLUMN answer TEXT;

CREATE TABLE publications (
    site         TEXT COLLATE "C" NOT NULL REFERENCES sites (id),
    number       BIGINT           NOT NULL,
    plan         TEXT COLLATE "C" NOT NULL REFERENCES plans (id),
    published_by TEXT,
    published_at TIMESTAMP        NOT NULL,
    withdrawn_at TIMESTAMP,
    PRIMARY KEY (site, number)
);
CREATE INDEX publications_by_plan ON publications (plan);

-- What became of work items; an item without a row is planned.
CREATE TABLE work_states (
    plan        TEXT COLLATE "C" NOT NULL REFERENCES plans (id),
    item        TEXT COLLATE "C" NOT NULL,
    state       TEXT COLLATE "C" NOT NULL,
    started_at  TIMESTAMP,
    ended_at    TIMESTAMP,
    out_until   TIMESTAMP,
    told_by     TEXT,
    note        TEXT,
    recorded_at TIMESTAMP        NOT NULL,
    PRIMARY KEY (plan, item)
);

CREATE TABLE readings (
    id          TEXT COLLATE "C" NOT NULL PRIMARY KEY,
    site        TEXT COLLATE "C" NOT NULL REFERENCES sites (id),
    plan        TEXT COLLATE "C" NOT NULL REFERENCES plans (id),
    item        TEXT COLLATE "C" NOT NULL,
    kind        TEXT COLLATE "C" NOT NULL,
    value       DOUBLE PRECISION NOT NULL,
    unit        TEXT COLLATE "C" NOT NULL,
    at          TIMESTAMP        NOT NULL,
    told_by     TEXT,
    subject     TEXT,
    note        TEXT,
    recorded_at TIMESTAMP        NOT NULL
);
CREATE INDEX readings_by_item ON readings (plan, item, at);
CREATE INDEX readings_by_site ON readings (site, id);

-- The number of the last event. A transaction that adds events holds this row until it is over, so
-- events become visible in the order of their numbers on every database.
CREATE TABLE event_counter (
    id   BIGINT NOT NULL PRIMARY KEY,
    last BIGINT NOT NULL
);
INSERT INTO event_counter (id, last) VALUES (1, 0);

CREATE TABLE events (
    seq      BIGINT           NOT NULL PRIMARY KEY,
    site     TEXT COLLATE "C" NOT NULL,
    kind     TEXT COLLATE "C" NOT NULL,
    at       TIMESTAMP        NOT NULL,
    document TEXT             NOT NULL
);
CREATE INDEX events_by_site ON events (site, seq);

CREATE TRIGGER events_are_kept BEFORE DELETE OR UPDATE OR TRUNCATE ON events
    FOR EACH STATEMENT EXECUTE FUNCTION is_append_only();
CREATE TRIGGER readings_are_kept BEFORE DELETE OR UPDATE OR TRUNCATE ON readings
    FOR EACH STATEMENT EXECUTE FUNCTION is_append_only();
