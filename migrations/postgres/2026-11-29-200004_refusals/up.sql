-- The trail also tells of sign-ins and of what was refused, and how often.
ALTER TABLE audit ADD COLUMN refused TEXT;
ALTER TABLE audit ADD COLUMN times BIGINT NOT NULL DEFAULT 1;
