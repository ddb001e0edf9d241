-- What a person is shown of their sessions, and when each was used last.
ALTER TABLE sessions ADD COLUMN begun_at TIMESTAMP;
ALTER TABLE sessions ADD COLUMN seen_at TIMESTAMP;
ALTER TABLE sessions ADD COLUMN address TEXT;
ALTER TABLE sessions ADD COLUMN agent TEXT;
