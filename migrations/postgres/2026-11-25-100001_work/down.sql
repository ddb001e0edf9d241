DROP TABLE events;
DROP TABLE event_counter;
DROP TABLE readings;
DROP TABLE work_states;
DROP TABLE publications;
ALTER TABLE plans DROP COLUMN answer;
ALTER TABLE plans DROP COLUMN question;
ALTER TABLE plans DROP COLUMN parent;
ALTER TABLE plans DROP COLUMN kind;
