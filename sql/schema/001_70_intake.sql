-- What intake holds a row against, and the spellings of column names people use.

CREATE TABLE plausible_limit (
    -- Bounds of one column. Outside 'refuse' a row is set aside, outside 'warn' it is stored with a warning. Not the law of anything.
    field TEXT NOT NULL, -- canonical column; leg_i_at stands for every leg; date counts days from the day of the import
    severity TEXT NOT NULL, -- refuse or warn
    low REAL, -- lowest value taken, in SI; NULL = no bound
    high REAL, -- highest value taken, in SI; NULL = no bound
    reason TEXT NOT NULL, -- what a person reads behind the bound
    source TEXT NOT NULL, -- where the bound comes from
    PRIMARY KEY (field, severity),
    CONSTRAINT plausible_limit_severity_is_known CHECK (severity IN ('refuse', 'warn')),
    CONSTRAINT plausible_limit_has_a_bound CHECK (low IS NOT NULL OR high IS NOT NULL),
    CONSTRAINT plausible_limit_is_a_range CHECK (low IS NULL OR high IS NULL OR low < high)
) STRICT, WITHOUT ROWID;

CREATE TABLE plausible_relation (
    -- What must hold between two columns of a row: lesser <= factor * greater, when both are recorded.
    lesser TEXT NOT NULL, -- canonical column, or planned_net, planned_gross, measured_net, measured_gross: the weight if it is that
    greater TEXT NOT NULL, -- likewise
    severity TEXT NOT NULL, -- refuse or warn
    factor REAL NOT NULL, -- the slack
    reason TEXT NOT NULL, -- what a person reads when it does not hold
    source TEXT NOT NULL, -- where the relation comes from
    PRIMARY KEY (lesser, greater, severity),
    CONSTRAINT plausible_relation_severity_is_known CHECK (severity IN ('refuse', 'warn')),
    CONSTRAINT plausible_relation_factor_is_positive CHECK (factor > 0)
) STRICT, WITHOUT ROWID;

CREATE TABLE header_synonym (
    -- Spellings of column names met in logs. Never applied unasked: they say what a column that is not known may mean.
    spelling TEXT PRIMARY KEY, -- small letters, words joined by _, without the unit
    field TEXT NOT NULL -- the canonical column
) STRICT, WITHOUT ROWID;
