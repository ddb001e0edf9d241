-- Whoever made a webhook or a calendar feed, so that it ends with them. Of those there are nothing is
-- known, and they go on.
ALTER TABLE webhooks ADD COLUMN made_by TEXT;
ALTER TABLE calendars ADD COLUMN made_by TEXT;
