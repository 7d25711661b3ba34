-- What other companies' weighed wood says: figures by species and class, without any pick, person, site or date of theirs.

CREATE TABLE evidence_set (
    -- One file of evidence taken in. It can be taken out again; the row stays with the reason.
    id INTEGER PRIMARY KEY, -- row number
    sha256 TEXT NOT NULL, -- of the content in its canonical writing: the same content again adds nothing
    origin TEXT NOT NULL, -- whose evidence it is, as the file names itself
    imported_on TEXT NOT NULL, -- the day it was taken in, YYYY-MM-DD
    who TEXT NOT NULL, -- role of the person who took it in
    why TEXT NOT NULL, -- the reason given
    removed_on TEXT, -- the first day it no longer counts, YYYY-MM-DD; NULL while it does
    removed_who TEXT, -- role of the person who took it out
    removed_why TEXT, -- the reason given for taking it out
    CONSTRAINT evidence_set_imported_on_is_a_date CHECK (imported_on IS date(imported_on)),
    CONSTRAINT evidence_set_removed_on_is_a_date CHECK (removed_on IS NULL OR removed_on IS date(removed_on)),
    CONSTRAINT evidence_set_removed_has_a_reason CHECK ((removed_on IS NULL) = (removed_why IS NULL)),
    CONSTRAINT evidence_set_has_an_origin CHECK (length(origin) > 0)
) STRICT;

CREATE UNIQUE INDEX evidence_set_content_once ON evidence_set (sha256) WHERE removed_on IS NULL;
CREATE UNIQUE INDEX evidence_set_origin_once ON evidence_set (origin) WHERE removed_on IS NULL;

CREATE TABLE evidence_item (
    -- One figure of a set: what its wood weighs against the handbook, ln; sufficient statistics of a normal model.
    set_id INTEGER NOT NULL REFERENCES evidence_set (id), -- the set
    kind INTEGER NOT NULL, -- 1 species, 2 butt piece, 3 condition, 4 brush class
    species_id INTEGER NOT NULL, -- the species of kind 1, else 0
    class INTEGER NOT NULL, -- the class of kinds 3 and 4, else 0
    log_shift REAL NOT NULL, -- ln of weight / volume against the handbook, or against sound bare wood
    se_log REAL NOT NULL, -- its standard error
    trees INTEGER NOT NULL, -- trees it rests on
    picks INTEGER NOT NULL, -- weighed picks it rests on
    PRIMARY KEY (set_id, kind, species_id, class),
    CONSTRAINT evidence_item_kind_is_known CHECK (kind BETWEEN 1 AND 4),
    CONSTRAINT evidence_item_shift_is_a_wood CHECK (log_shift BETWEEN -1 AND 1),
    CONSTRAINT evidence_item_error_is_positive CHECK (se_log > 0),
    CONSTRAINT evidence_item_counts_make_sense CHECK (trees >= 3 AND picks >= trees)
) STRICT, WITHOUT ROWID;

CREATE TABLE evidence_exported (
    -- Content this book gave away, so that it is not taken for somebody else's when it comes back.
    sha256 TEXT PRIMARY KEY, -- of the content in its canonical writing
    origin TEXT NOT NULL, -- the name it was given away under
    exported_on TEXT NOT NULL, -- the day, YYYY-MM-DD
    CONSTRAINT evidence_exported_on_is_a_date CHECK (exported_on IS date(exported_on))
) STRICT, WITHOUT ROWID;
