-- What became of picks after they were stored: second readings and amendments.

CREATE TABLE conflict (
    -- A second reading of a stored pick that says something else. The stored pick stays as it is until a person decides.
    id INTEGER PRIMARY KEY, -- row number
    pick_id INTEGER REFERENCES pick (id) ON DELETE SET NULL, -- the stored pick; NULL when it was taken out with its import
    pick_name TEXT NOT NULL, -- its name
    file_id INTEGER NOT NULL REFERENCES import_file (id), -- the file of the second reading
    line INTEGER NOT NULL, -- first line of the row
    raw TEXT NOT NULL, -- the row as it stood
    state TEXT NOT NULL DEFAULT 'open', -- open, or decided by a person
    decided_on TEXT, -- the day it was decided, YYYY-MM-DD
    who TEXT, -- role of the person who decided
    why TEXT, -- the reason given
    CONSTRAINT conflict_state_is_known CHECK (state IN ('open', 'decided')),
    CONSTRAINT conflict_decided_whole CHECK ((state = 'open') = (decided_on IS NULL))
) STRICT;
CREATE INDEX conflict_by_pick ON conflict (pick_id);
CREATE INDEX conflict_by_file ON conflict (file_id);

CREATE TABLE conflict_value (
    -- The values in which the second reading differs.
    conflict_id INTEGER NOT NULL REFERENCES conflict (id) ON DELETE CASCADE, -- the conflict
    field TEXT NOT NULL, -- canonical name of the column
    stored TEXT, -- what the stored pick says, as it was written; NULL = not recorded
    offered TEXT, -- what the second reading says, as it was written
    PRIMARY KEY (conflict_id, field)
) STRICT, WITHOUT ROWID;

CREATE TABLE amendment (
    -- A value of a stored pick that a person changed.
    id INTEGER PRIMARY KEY, -- row number, in the order of the changes
    pick_id INTEGER REFERENCES pick (id) ON DELETE SET NULL, -- the pick; NULL when it was taken out with its import
    pick_name TEXT NOT NULL, -- its name
    field TEXT NOT NULL, -- canonical name of the column
    old_value TEXT, -- the value before, as it was written; NULL = not recorded
    old_si REAL, -- the value before of a quantity, in SI
    old_written TEXT, -- unit and last digit of the value before, two characters as in pick.written
    new_value TEXT, -- the value after, as it was written; NULL = not recorded
    new_si REAL, -- the value after of a quantity, in SI
    new_written TEXT, -- unit and last digit of the value after
    amended_on TEXT NOT NULL, -- the day, YYYY-MM-DD
    who TEXT NOT NULL, -- role of the person, '' when not given
    why TEXT NOT NULL, -- the reason given
    CONSTRAINT amendment_gives_a_reason CHECK (length(why) > 0)
) STRICT;
CREATE INDEX amendment_by_pick ON amendment (pick_id);
