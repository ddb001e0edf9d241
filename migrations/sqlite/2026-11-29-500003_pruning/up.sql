-- Records are thrown away when they were kept for long enough, and only by the job that does so: it
-- opens this row and closes it again within its transaction, so nobody else ever sees it open.
CREATE TABLE pruning (
    id   INTEGER NOT NULL PRIMARY KEY,
    open INTEGER NOT NULL
) STRICT;
INSERT INTO pruning (id, open) VALUES (1, 0);

DROP TRIGGER events_are_kept;
CREATE TRIGGER events_are_kept BEFORE DELETE ON events
WHEN NOT EXISTS (SELECT 1 FROM pruning WHERE open = 1)
BEGIN SELECT RAISE (ABORT, 'events are append-only'); END;
DROP TRIGGER readings_are_kept;
CREATE TRIGGER readings_are_kept BEFORE DELETE ON readings
WHEN NOT EXISTS (SELECT 1 FROM pruning WHERE open = 1)
BEGIN SELECT RAISE (ABORT, 'readings are append-only'); END;
DROP TRIGGER audit_is_kept;
CREATE TRIGGER audit_is_kept BEFORE DELETE ON audit
WHEN NOT EXISTS (SELECT 1 FROM pruning WHERE open = 1)
BEGIN SELECT RAISE (ABORT, 'the audit trail is append-only'); END;
DROP TRIGGER setup_revisions_are_kept;
CREATE TRIGGER setup_revisions_are_kept BEFORE DELETE ON setup_revisions
WHEN NOT EXISTS (SELECT 1 FROM pruning WHERE open = 1)
BEGIN SELECT RAISE (ABORT, 'setup revisions are append-only'); END;

-- What is old is looked for again and again.
CREATE INDEX plans_by_parent ON plans (parent);
CREATE INDEX webhook_deliveries_by_event ON webhook_deliveries (seq);
