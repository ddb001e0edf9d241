-- Instants lie between 2000 and 2200. Those that were stored before that held are moved to the nearest;
-- records (stock entries, readings, events) stay as they are and are read so.
-- Years of more than four digits are written with a sign, which sorts before all digits.
UPDATE demand SET due = '2200-01-01 00:00:00' WHERE due LIKE '+%' OR due > '2200-01-01 00:00:00';
UPDATE demand SET due = '2000-01-01 00:00:00' WHERE due < '2000-01-01 00:00:00';
UPDATE work_states SET started_at = '2200-01-01 00:00:00' WHERE started_at LIKE '+%' OR started_at > '2200-01-01 00:00:00';
UPDATE work_states SET started_at = '2000-01-01 00:00:00' WHERE started_at < '2000-01-01 00:00:00';
UPDATE work_states SET ended_at = '2200-01-01 00:00:00' WHERE ended_at LIKE '+%' OR ended_at > '2200-01-01 00:00:00';
UPDATE work_states SET ended_at = '2000-01-01 00:00:00' WHERE ended_at < '2000-01-01 00:00:00';
UPDATE work_states SET out_until = '2200-01-01 00:00:00' WHERE out_until LIKE '+%' OR out_until > '2200-01-01 00:00:00';
UPDATE work_states SET out_until = '2000-01-01 00:00:00' WHERE out_until < '2000-01-01 00:00:00';
UPDATE api_keys SET expires_at = '2200-01-01 00:00:00' WHERE expires_at LIKE '+%' OR expires_at > '2200-01-01 00:00:00';
UPDATE api_keys SET expires_at = '2000-01-01 00:00:00' WHERE expires_at < '2000-01-01 00:00:00';

-- Copies of the books are made anew from the entries.
DELETE FROM stock_books;
