-- What was changed about a sling, and when it was inspected.

CREATE TABLE sling_history (
    -- Every change of a sling's entry.
    id INTEGER PRIMARY KEY, -- row number
    tag TEXT NOT NULL COLLATE NOCASE, -- the sling's tag
    field TEXT NOT NULL, -- what changed
    old_value TEXT, -- before; NULL = not entered
    new_value TEXT, -- after; NULL = taken away
    changed_on TEXT NOT NULL, -- the day, YYYY-MM-DD
    who TEXT NOT NULL, -- role of the person
    why TEXT NOT NULL -- the reason given
) STRICT;

CREATE TABLE sling_inspection (
    -- A sling was looked at by a person who may; what happened before that day is settled.
    tag TEXT NOT NULL COLLATE NOCASE, -- the sling's tag
    inspected_on TEXT NOT NULL, -- the day, YYYY-MM-DD
    who TEXT NOT NULL, -- role of the person
    why TEXT NOT NULL, -- what was found
    PRIMARY KEY (tag, inspected_on)
) STRICT, WITHOUT ROWID;
