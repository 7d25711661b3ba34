-- Imports: which files came in when, what was set aside and why.

CREATE TABLE import (
    -- One row per run of the import. An import that was taken out again stays here as history.
    id INTEGER PRIMARY KEY, -- the number `undo` takes
    imported_on TEXT NOT NULL, -- the day, YYYY-MM-DD
    who TEXT NOT NULL, -- role of the person who imported, '' when not given
    undone_on TEXT, -- the day it was taken out again; NULL while it counts
    undone_by TEXT, -- role of the person who took it out
    undone_why TEXT, -- the reason given for taking it out
    picks_taken_out INTEGER, -- how many picks went with it
    CONSTRAINT import_undone_whole CHECK ((undone_on IS NULL) = (undone_by IS NULL) AND (undone_on IS NULL) = (undone_why IS NULL))
) STRICT;

CREATE TABLE import_file (
    -- One row per log file of an import, with how it was read, so that a file, line and cell can be found again.
    id INTEGER PRIMARY KEY, -- row number
    import_id INTEGER NOT NULL REFERENCES import (id), -- the import it came with
    path TEXT NOT NULL, -- the file's name as given
    sha256 TEXT NOT NULL, -- SHA-256 of its bytes, 64 hexadecimal digits
    bytes INTEGER NOT NULL, -- its size in bytes
    dialect TEXT NOT NULL, -- separator, encoding, line of the header
    date_order TEXT NOT NULL, -- how dates were read, and which line settled it
    columns TEXT NOT NULL, -- JSON: column number to field and unit
    stored INTEGER NOT NULL DEFAULT 0, -- rows stored as picks
    unchanged INTEGER NOT NULL DEFAULT 0, -- rows that said what the book held already
    set_aside INTEGER NOT NULL DEFAULT 0, -- rows set aside
    conflicts INTEGER NOT NULL DEFAULT 0, -- rows that said something else about a stored pick
    CONSTRAINT import_file_sha256_is_64_digits CHECK (length(sha256) = 64 AND sha256 NOT GLOB '*[^0-9a-f]*'),
    CONSTRAINT import_file_bytes_not_negative CHECK (bytes >= 0),
    CONSTRAINT import_file_counts_not_negative CHECK (stored >= 0 AND unchanged >= 0 AND set_aside >= 0 AND conflicts >= 0)
) STRICT;
CREATE INDEX import_file_by_import ON import_file (import_id);
CREATE INDEX import_file_by_sha256 ON import_file (sha256);

CREATE TABLE set_aside (
    -- A row of a log that was not stored, whole, with the reason and what would mend it.
    id INTEGER PRIMARY KEY, -- row number, in the order of the file
    file_id INTEGER NOT NULL REFERENCES import_file (id), -- the file
    line INTEGER NOT NULL, -- first line of the row, from 1
    column INTEGER NOT NULL, -- position of the cell in the row, from 1; 0 = the row as a whole
    field TEXT, -- canonical name of the column, or the header as it stood
    text TEXT, -- what was found there
    reason TEXT NOT NULL, -- why the row was set aside
    remedy TEXT, -- what would mend it
    raw TEXT NOT NULL, -- the row as it stood
    CONSTRAINT set_aside_line_from_1 CHECK (line >= 0),
    CONSTRAINT set_aside_column_from_0 CHECK (column >= 0)
) STRICT;
CREATE INDEX set_aside_by_file ON set_aside (file_id);

CREATE TABLE warning (
    -- Something doubtful about a row that was stored, or about a file.
    id INTEGER PRIMARY KEY, -- row number, in the order of the file
    file_id INTEGER NOT NULL REFERENCES import_file (id), -- the file
    line INTEGER NOT NULL, -- first line of the row; 0 = the file as a whole
    field TEXT, -- canonical name of the column
    says TEXT NOT NULL, -- the sentence
    CONSTRAINT warning_line_from_0 CHECK (line >= 0)
) STRICT;
CREATE INDEX warning_by_file ON warning (file_id);

CREATE TABLE profile (
    -- How one kind of log is read: the text of a profile, kept so that the next log of its kind needs no question.
    name TEXT PRIMARY KEY, -- its name
    text TEXT NOT NULL, -- the profile as written
    changed_on TEXT NOT NULL, -- the day it was stored, YYYY-MM-DD
    who TEXT NOT NULL, -- role of the person who stored it
    why TEXT NOT NULL -- the reason given
) STRICT;

CREATE TABLE profile_history (
    -- Texts of profiles that were replaced.
    id INTEGER PRIMARY KEY, -- row number
    name TEXT NOT NULL, -- the profile
    text TEXT NOT NULL, -- the text that was replaced
    replaced_on TEXT NOT NULL, -- the day it was replaced, YYYY-MM-DD
    who TEXT NOT NULL, -- role of the person who replaced it
    why TEXT NOT NULL -- the reason given
) STRICT;
