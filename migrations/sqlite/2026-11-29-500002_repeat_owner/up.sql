-- Which process works on a request: one that is gone neither makes its change nor answers any more.
ALTER TABLE repeats ADD COLUMN owner TEXT;
