-- People who were added by a key that ends, end with it.
ALTER TABLE people ADD COLUMN ends_at TIMESTAMP;
