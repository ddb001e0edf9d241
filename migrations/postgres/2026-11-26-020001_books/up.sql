-- Copies of what follows from the stock ledger, so that not every entry is read each time. They
-- can be deleted at any time and are written again.
CREATE TABLE stock_books (
    site     TEXT COLLATE "C" NOT NULL REFERENCES sites (id),
    at       TIMESTAMP        NOT NULL,
    seq      BIGINT           NOT NULL,
    document TEXT             NOT NULL,
    PRIMARY KEY (site, at, seq)
);

-- Kegs that were named when work was reported.
ALTER TABLE work_states ADD COLUMN kegs TEXT;
