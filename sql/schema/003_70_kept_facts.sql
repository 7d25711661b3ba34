-- What the picks come to, worked out once and kept, so that a report of many picks need not work it out each time. Never a source:
-- both tables may be emptied at any time. The triggers take the one row of kept_facts away at the first change of a pick, a job or a
-- tree; what is left in kept_facts_part is then not read any more.

CREATE TABLE kept_facts (
    -- One row while what is kept is in force, none else.
    id INTEGER PRIMARY KEY, -- 1
    method INTEGER NOT NULL, -- number of the method: of another one, it is worked out anew
    company BLOB NOT NULL, -- SHA-256 of the settings, cranes, slings and species it rests on
    picks INTEGER NOT NULL, -- how many picks it covers: all of the book
    last_pick INTEGER NOT NULL, -- the largest pick.id among them
    last_date TEXT NOT NULL, -- the latest date among them, YYYY-MM-DD
    chunks INTEGER NOT NULL, -- how many chunks hold them
    pick_order INTEGER NOT NULL, -- 0 not known, 1 pick order is row order, 2 it stands in positions
    positions BLOB, -- for each pick in pick order its place in row order, from 0, four bytes each, the lowest first
    CONSTRAINT kept_facts_one_row CHECK (id = 1),
    CONSTRAINT kept_facts_company_is_a_digest CHECK (length(company) = 32),
    CONSTRAINT kept_facts_counts_not_negative CHECK (picks >= 0 AND chunks >= 0),
    CONSTRAINT kept_facts_order_is_known CHECK (pick_order IN (0, 1, 2))
) STRICT;

CREATE TABLE kept_facts_part (
    -- The facts of some thousand picks in row order, a column behind the other, in parts that are read apart.
    part INTEGER NOT NULL, -- 1 row numbers and labels, 2 the estimate's error, 3 the wood, 4 what happened, 5 names, 6 the movement worked out
    chunk INTEGER NOT NULL, -- from 0
    picks INTEGER NOT NULL, -- how many picks it covers
    checksum INTEGER NOT NULL, -- of bytes
    bytes BLOB NOT NULL, -- columns as src/analysis/fact_pack.h has them
    PRIMARY KEY (part, chunk),
    CONSTRAINT kept_facts_part_is_known CHECK (part BETWEEN 1 AND 6),
    CONSTRAINT kept_facts_part_chunk_from_0 CHECK (chunk >= 0),
    CONSTRAINT kept_facts_part_has_picks CHECK (picks > 0)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER kept_facts_end_1 AFTER INSERT ON pick WHEN EXISTS (SELECT 1 FROM kept_facts)
BEGIN
    DELETE FROM kept_facts;
END;

CREATE TRIGGER kept_facts_end_2 AFTER UPDATE ON pick WHEN EXISTS (SELECT 1 FROM kept_facts)
BEGIN
    DELETE FROM kept_facts;
END;

CREATE TRIGGER kept_facts_end_3 AFTER DELETE ON pick WHEN EXISTS (SELECT 1 FROM kept_facts)
BEGIN
    DELETE FROM kept_facts;
END;

CREATE TRIGGER kept_facts_end_4 AFTER INSERT ON job WHEN EXISTS (SELECT 1 FROM kept_facts)
BEGIN
    DELETE FROM kept_facts;
END;

CREATE TRIGGER kept_facts_end_5 AFTER UPDATE ON job WHEN EXISTS (SELECT 1 FROM kept_facts)
BEGIN
    DELETE FROM kept_facts;
END;

CREATE TRIGGER kept_facts_end_6 AFTER DELETE ON job WHEN EXISTS (SELECT 1 FROM kept_facts)
BEGIN
    DELETE FROM kept_facts;
END;

CREATE TRIGGER kept_facts_end_7 AFTER INSERT ON tree WHEN EXISTS (SELECT 1 FROM kept_facts)
BEGIN
    DELETE FROM kept_facts;
END;

CREATE TRIGGER kept_facts_end_8 AFTER UPDATE ON tree WHEN EXISTS (SELECT 1 FROM kept_facts)
BEGIN
    DELETE FROM kept_facts;
END;

CREATE TRIGGER kept_facts_end_9 AFTER DELETE ON tree WHEN EXISTS (SELECT 1 FROM kept_facts)
BEGIN
    DELETE FROM kept_facts;
END;
