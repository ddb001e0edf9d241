-- Where events are delivered, and what became of each delivery.
CREATE TABLE webhooks (
    id            TEXT    NOT NULL PRIMARY KEY,
    url           TEXT    NOT NULL,
    secret        TEXT    NOT NULL,
    site          TEXT    REFERENCES sites (id),
    kinds         TEXT    NOT NULL,
    note          TEXT,
    last_seq      INTEGER NOT NULL,
    failing_since TEXT,
    disabled_at   TEXT,
    disabled_why  TEXT,
    created_at    TEXT    NOT NULL
) STRICT;

CREATE TABLE webhook_deliveries (
    id         TEXT    NOT NULL PRIMARY KEY,
    webhook    TEXT    NOT NULL REFERENCES webhooks (id),
    seq        INTEGER NOT NULL REFERENCES events (seq),
    state      TEXT    NOT NULL,
    attempts   INTEGER NOT NULL,
    next_at    TEXT,
    last_at    TEXT,
    last_code  INTEGER,
    last_error TEXT,
    created_at TEXT    NOT NULL
) STRICT;
CREATE INDEX webhook_deliveries_due ON webhook_deliveries (state, next_at);
CREATE INDEX webhook_deliveries_by_webhook ON webhook_deliveries (webhook, id);
