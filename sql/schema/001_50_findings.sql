-- Findings of the detectors, write-ups of near misses and the actions that follow from them.

CREATE TABLE finding (
    -- A pattern a detector found. Its identity is detector, scope and first pick: a longer run is the same finding.
    id INTEGER PRIMARY KEY, -- the number a person uses for it
    detector TEXT NOT NULL, -- which detector
    scope TEXT NOT NULL, -- what it holds for: 'estimator K.', 'silver maple, step cut', 'J231/17'
    first_pick TEXT NOT NULL, -- name of the first pick it rests on
    last_pick TEXT NOT NULL, -- name of the last pick it rests on
    last_date TEXT NOT NULL, -- date of that pick, YYYY-MM-DD
    class TEXT NOT NULL, -- certain: what was logged says so; chance: it may come by chance; rate: a share to be compared
    says TEXT NOT NULL, -- the sentence
    state TEXT NOT NULL DEFAULT 'new', -- new, acknowledged, dismissed or written up
    found_on TEXT NOT NULL, -- the day it was first found, YYYY-MM-DD
    state_on TEXT, -- the day its state was set
    who TEXT, -- role of the person who set it
    why TEXT, -- the reason given; a dismissal needs one
    CONSTRAINT finding_once UNIQUE (detector, scope, first_pick),
    CONSTRAINT finding_class_is_known CHECK (class IN ('certain', 'chance', 'rate')),
    CONSTRAINT finding_state_is_known CHECK (state IN ('new', 'acknowledged', 'dismissed', 'written up')),
    CONSTRAINT finding_dismissed_with_reason CHECK (state <> 'dismissed' OR length(why) > 0)
) STRICT;

CREATE TABLE finding_pick (
    -- The picks a finding rests on.
    finding_id INTEGER NOT NULL REFERENCES finding (id) ON DELETE CASCADE, -- the finding
    position INTEGER NOT NULL, -- 1, 2, ... in pick order
    pick_name TEXT NOT NULL, -- the pick's name
    pick_id INTEGER REFERENCES pick (id) ON DELETE SET NULL, -- the pick; NULL when it was taken out with its import
    PRIMARY KEY (finding_id, position),
    CONSTRAINT finding_pick_once UNIQUE (finding_id, pick_name)
) STRICT, WITHOUT ROWID;
CREATE INDEX finding_pick_by_pick ON finding_pick (pick_id);

CREATE TABLE writeup (
    -- A near miss written up: what a person keeps about one pick.
    id INTEGER PRIMARY KEY, -- the number a person uses for it
    pick_id INTEGER REFERENCES pick (id) ON DELETE SET NULL, -- the pick; NULL when it was taken out with its import
    pick_name TEXT NOT NULL, -- its name
    title TEXT NOT NULL, -- one line
    severity TEXT, -- potential severity, MIL-STD-882E: catastrophic, critical, marginal or negligible
    probability TEXT, -- probability level, MIL-STD-882E: A frequent to F eliminated
    state TEXT NOT NULL DEFAULT 'draft', -- draft, signed off or withdrawn
    opened_on TEXT NOT NULL, -- the day it was begun, YYYY-MM-DD
    CONSTRAINT writeup_severity_is_known CHECK (severity IN ('catastrophic', 'critical', 'marginal', 'negligible')),
    CONSTRAINT writeup_probability_is_known CHECK (probability IN ('A', 'B', 'C', 'D', 'E', 'F')),
    CONSTRAINT writeup_state_is_known CHECK (state IN ('draft', 'signed off', 'withdrawn'))
) STRICT;
CREATE INDEX writeup_by_pick ON writeup (pick_id);

CREATE TABLE writeup_revision (
    -- Every stored text of a write-up; the last one counts.
    writeup_id INTEGER NOT NULL REFERENCES writeup (id) ON DELETE CASCADE, -- the write-up
    revision INTEGER NOT NULL, -- 1, 2, ...
    text TEXT NOT NULL, -- the whole text as stored
    stored_on TEXT NOT NULL, -- the day, YYYY-MM-DD
    who TEXT NOT NULL, -- role of the person who stored it
    why TEXT NOT NULL, -- the reason given, '' for the first
    PRIMARY KEY (writeup_id, revision),
    CONSTRAINT writeup_revision_from_1 CHECK (revision >= 1)
) STRICT, WITHOUT ROWID;

CREATE TABLE writeup_finding (
    -- The findings a write-up takes up.
    writeup_id INTEGER NOT NULL REFERENCES writeup (id) ON DELETE CASCADE, -- the write-up
    finding_id INTEGER NOT NULL REFERENCES finding (id), -- the finding
    PRIMARY KEY (writeup_id, finding_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX writeup_finding_by_finding ON writeup_finding (finding_id);

CREATE TABLE action (
    -- Something to be done, by whom and by when, and how it will be known that it worked.
    id INTEGER PRIMARY KEY, -- the number a person uses for it
    writeup_id INTEGER REFERENCES writeup (id), -- the write-up it follows from
    finding_id INTEGER REFERENCES finding (id), -- the finding it follows from
    says TEXT NOT NULL, -- what is to be done
    control TEXT, -- its place in the hierarchy of controls
    owner TEXT NOT NULL, -- role that does it
    due TEXT NOT NULL, -- the day it is due, YYYY-MM-DD
    measure TEXT, -- the figure that should move
    target TEXT, -- where it should move to
    state TEXT NOT NULL DEFAULT 'open', -- open, done or dropped
    opened_on TEXT NOT NULL, -- the day it was agreed, YYYY-MM-DD
    closed_on TEXT, -- the day it was done or dropped
    CONSTRAINT action_control_is_known CHECK (control IN ('elimination', 'substitution', 'engineering', 'administrative', 'protective equipment')),
    CONSTRAINT action_due_is_a_date CHECK (due IS date(due)),
    CONSTRAINT action_state_is_known CHECK (state IN ('open', 'done', 'dropped')),
    CONSTRAINT action_closed_whole CHECK ((state = 'open') = (closed_on IS NULL))
) STRICT;
CREATE INDEX action_by_writeup ON action (writeup_id);
CREATE INDEX action_by_finding ON action (finding_id);

CREATE TABLE action_history (
    -- Every change of an action.
    id INTEGER PRIMARY KEY, -- row number
    action_id INTEGER NOT NULL REFERENCES action (id), -- the action
    field TEXT NOT NULL, -- what changed: state, due, owner, ...
    old_value TEXT, -- before
    new_value TEXT, -- after
    changed_on TEXT NOT NULL, -- the day, YYYY-MM-DD
    who TEXT NOT NULL, -- role of the person
    why TEXT NOT NULL -- the reason given
) STRICT;
CREATE INDEX action_history_by_action ON action_history (action_id);
