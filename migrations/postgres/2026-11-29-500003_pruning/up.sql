-- Records are thrown away when they were kept for long enough, and only by the job that does so: it
-- opens this row and closes it again within its transaction, so nobody else ever sees it open.
CREATE TABLE pruning (
    id   BIGINT  NOT NULL PRIMARY KEY,
    open BOOLEAN NOT NULL
);
INSERT INTO pruning (id, open) VALUES (1, FALSE);

CREATE FUNCTION is_kept_until_pruned() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN
    IF TG_OP = 'DELETE' AND EXISTS (SELECT 1 FROM pruning WHERE open) THEN
        RETURN NULL;
    END IF;
    RAISE EXCEPTION '% is append-only', TG_TABLE_NAME;
END $$;
DROP TRIGGER events_are_kept ON events;
CREATE TRIGGER events_are_kept BEFORE DELETE OR UPDATE OR TRUNCATE ON events
    FOR EACH STATEMENT EXECUTE FUNCTION is_kept_until_pruned();
DROP TRIGGER readings_are_kept ON readings;
CREATE TRIGGER readings_are_kept BEFORE DELETE OR UPDATE OR TRUNCATE ON readings
    FOR EACH STATEMENT EXECUTE FUNCTION is_kept_until_pruned();
DROP TRIGGER audit_is_kept ON audit;
CREATE TRIGGER audit_is_kept BEFORE DELETE OR UPDATE OR TRUNCATE ON audit
    FOR EACH STATEMENT EXECUTE FUNCTION is_kept_until_pruned();
DROP TRIGGER setup_revisions_are_kept ON setup_revisions;
CREATE TRIGGER setup_revisions_are_kept BEFORE DELETE OR UPDATE OR TRUNCATE ON setup_revisions
    FOR EACH STATEMENT EXECUTE FUNCTION is_kept_until_pruned();

-- What is old is looked for again and again.
CREATE INDEX plans_by_parent ON plans (parent);
CREATE INDEX webhook_deliveries_by_event ON webhook_deliveries (seq);
