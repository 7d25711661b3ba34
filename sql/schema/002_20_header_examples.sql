-- Headers that must be understood, and headers that must not be.

CREATE TABLE header_example (
    -- A header as people write it and the column it must mean: what header_synonym is held against whenever it is used.
    header TEXT PRIMARY KEY, -- as it stands in a log
    field TEXT -- the canonical column; NULL = it must mean none, because it could be two
) STRICT, WITHOUT ROWID;
