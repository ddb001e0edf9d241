-- Who asked, so that callers of a site take turns; how often a lease was renewed, which is how
-- others see that its holder lives; and with how many processes a search has gone down.
-- `lease_until` is not read any more: it was by the clock of whoever wrote it.
ALTER TABLE plans ADD COLUMN caller TEXT COLLATE "C";
ALTER TABLE plans ADD COLUMN renewals BIGINT NOT NULL DEFAULT 0;
ALTER TABLE plans ADD COLUMN deaths INTEGER NOT NULL DEFAULT 0;

-- When each caller of each site last had a turn: larger is later.
CREATE TABLE queue_turns (
    site   TEXT COLLATE "C" NOT NULL,
    caller TEXT COLLATE "C" NOT NULL,
    turn   BIGINT           NOT NULL,
    PRIMARY KEY (site, caller)
);
