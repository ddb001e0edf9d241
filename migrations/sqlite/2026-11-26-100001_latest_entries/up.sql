-- A site's latest entry is looked up before each new one.
CREATE INDEX stock_entries_by_site ON stock_entries (site, seq);
