-- Rows set aside that a person decided not to mend.

CREATE TABLE set_aside_drop (
    -- A row set aside that a person dropped: no pick, or not worth mending. The row itself stays in set_aside.
    set_aside_id INTEGER PRIMARY KEY REFERENCES set_aside (id), -- the row
    dropped_on TEXT NOT NULL, -- the day, YYYY-MM-DD
    who TEXT NOT NULL, -- role of the person, '' when not given
    why TEXT NOT NULL, -- the reason given
    CONSTRAINT set_aside_drop_gives_a_reason CHECK (length(why) > 0)
) STRICT;
