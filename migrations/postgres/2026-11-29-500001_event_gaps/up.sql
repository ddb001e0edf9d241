-- Numbers of events that were given out and undone when a copy was put back. They are not given
-- again, and whoever has read so far is told.
CREATE TABLE event_gaps (
    lost_after BIGINT    NOT NULL PRIMARY KEY,
    lost_until BIGINT    NOT NULL,
    at         TIMESTAMP NOT NULL
);

-- The last event that was thrown away because it was kept for long enough.
ALTER TABLE event_counter ADD COLUMN pruned_to BIGINT NOT NULL DEFAULT 0;
