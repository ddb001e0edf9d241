DROP TABLE plans;
DROP TABLE stock_entries;
DROP TABLE demand;
DROP TABLE setup_revisions;
DROP TABLE sites;
