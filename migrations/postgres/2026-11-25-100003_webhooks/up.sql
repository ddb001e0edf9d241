-- Where events are delivered, and what became of each delivery.
CREATE TABLE webhooks (
    id            TEXT COLLATE "C" NOT NULL PRIMARY KEY,
    url           TEXT             NOT NULL,
    secret        TEXT             NOT NULL,
    site          TEXT COLLATE "C" REFERENCES sites (id),
    kinds         TEXT             NOT NULL,
    note          TEXT,
    last_seq      BIGINT           NOT NULL,
    failing_since TIMESTAMP,
    disabled_at   TIMESTAMP,
    disabled_why  TEXT,
    created_at    TIMESTAMP        NOT NULL
);

CREATE TABLE webhook_deliveries (
    id         TEXT COLLATE "C" NOT NULL PRIMARY KEY,
    webhook    TEXT COLLATE "C" NOT NULL REFERENCES webhooks (id),
    seq        BIGINT           NOT NULL REFERENCES events (seq),
    state      TEXT COLLATE "C" NOT NULL,
    attempts   INTEGER          NOT NULL,
    next_at    TIMESTAMP,
    last_at    TIMESTAMP,
    last_code  INTEGER,
    last_error TEXT,
    created_at TIMESTAMP        NOT NULL
);
CREATE INDEX webhook_deliveries_due ON webhook_deliveries (state, next_at);
CREATE INDEX webhook_deliveries_by_webhook ON webhook_deliveries (webhook, id);
