-- Write-ups rest on one pick or several, or on a pick that is in no log; and what is attached to them.

ALTER TABLE writeup ADD COLUMN token TEXT NOT NULL DEFAULT ''; -- 16 hex digits: with the number it tells this book's write-up from another's
ALTER TABLE writeup ADD COLUMN told TEXT; -- the answers a pick in no log was entered with, key: value lines; NULL = the picks are in the book

CREATE TABLE writeup_pick (
    -- The picks a write-up is about.
    writeup_id INTEGER NOT NULL REFERENCES writeup (id) ON DELETE CASCADE, -- the write-up
    position INTEGER NOT NULL, -- 1, 2, ... in the order given
    pick_name TEXT NOT NULL, -- the pick's name
    pick_id INTEGER REFERENCES pick (id) ON DELETE SET NULL, -- the pick; NULL when it was taken out with its import
    PRIMARY KEY (writeup_id, position),
    CONSTRAINT writeup_pick_once UNIQUE (writeup_id, pick_name)
) STRICT, WITHOUT ROWID;
CREATE INDEX writeup_pick_by_pick ON writeup_pick (pick_id);

CREATE TABLE writeup_attachment (
    -- A file that belongs to a write-up: a photo, a print-out of the load indicator. The copy lies beside the book.
    writeup_id INTEGER NOT NULL REFERENCES writeup (id) ON DELETE CASCADE, -- the write-up
    name TEXT NOT NULL, -- the file's name, without folders
    sha256 TEXT NOT NULL, -- of its bytes, 64 hex digits: the copy's name too
    bytes INTEGER NOT NULL, -- its length
    says TEXT NOT NULL, -- what it shows
    added_on TEXT NOT NULL, -- the day, YYYY-MM-DD
    who TEXT NOT NULL, -- role of the person
    PRIMARY KEY (writeup_id, name),
    CONSTRAINT writeup_attachment_sha256_is_hex CHECK (length(sha256) = 64 AND sha256 NOT GLOB '*[^0-9a-f]*'),
    CONSTRAINT writeup_attachment_not_negative CHECK (bytes >= 0)
) STRICT, WITHOUT ROWID;

CREATE TABLE action_measure (
    -- How the figure stood that an action should move, on the day it was agreed.
    action_id INTEGER PRIMARY KEY REFERENCES action (id) ON DELETE CASCADE, -- the action
    figure TEXT NOT NULL, -- which figure: heavier, bias, over-chart, moved, near-miss, re-rig or unweighed
    species TEXT, -- only picks of this species; NULL = all
    cut TEXT, -- only picks of this cut; NULL = all
    crew TEXT, -- only picks of this crew; NULL = all
    CONSTRAINT action_measure_figure_is_known CHECK (figure IN ('heavier', 'bias', 'over-chart', 'moved', 'near-miss', 're-rig', 'unweighed'))
) STRICT;
