-- Findings have two classes, as the program says them; a rule's row keeps the limit it came with.

CREATE TABLE finding_now (
    -- A pattern a detector found. Its identity is detector, scope and first pick: a longer run is the same finding.
    id INTEGER PRIMARY KEY, -- the number a person uses for it
    detector TEXT NOT NULL, -- which detector
    scope TEXT NOT NULL, -- what kind of group it shows in: pick, crane, estimator, crew, species ...; the first pick says which of them
    first_pick TEXT NOT NULL, -- name of the first pick it rests on
    last_pick TEXT NOT NULL, -- name of the last pick it rests on
    last_date TEXT NOT NULL, -- date of that pick, YYYY-MM-DD
    class TEXT NOT NULL, -- certain: what was logged says so; likely: chance can make it too
    says TEXT NOT NULL, -- the sentence, without names of people
    picks INTEGER NOT NULL, -- how many picks it rests on
    state TEXT NOT NULL DEFAULT 'new', -- new, acknowledged, dismissed or written up
    found_on TEXT NOT NULL, -- the day it was first found, YYYY-MM-DD
    seen_on TEXT NOT NULL, -- the day it was last found
    state_on TEXT, -- the day its state was set
    state_picks INTEGER, -- how many picks it rested on that day: more of them now means that it went on
    who TEXT, -- role of the person who set it
    why TEXT, -- the reason given; a dismissal needs one
    CONSTRAINT finding_once UNIQUE (detector, scope, first_pick),
    CONSTRAINT finding_class_is_known CHECK (class IN ('certain', 'likely')),
    CONSTRAINT finding_state_is_known CHECK (state IN ('new', 'acknowledged', 'dismissed', 'written up')),
    CONSTRAINT finding_picks_from_1 CHECK (picks >= 1),
    CONSTRAINT finding_dismissed_with_reason CHECK (state <> 'dismissed' OR length(why) > 0)
) STRICT;
INSERT INTO finding_now (id, detector, scope, first_pick, last_pick, last_date, class, says, picks, state, found_on, seen_on, state_on, who, why)
SELECT id, detector, scope, first_pick, last_pick, last_date, iif(class = 'certain', 'certain', 'likely'), says, 1, state, found_on, found_on, state_on, who, why
FROM finding;
DROP TABLE finding;
ALTER TABLE finding_now RENAME TO finding;
CREATE INDEX finding_by_first_pick ON finding (first_pick);

CREATE TABLE finding_history (
    -- Every change of a finding's state.
    id INTEGER PRIMARY KEY, -- row number
    finding_id INTEGER NOT NULL REFERENCES finding (id) ON DELETE CASCADE, -- the finding
    old_state TEXT NOT NULL, -- before
    new_state TEXT NOT NULL, -- after
    changed_on TEXT NOT NULL, -- the day, YYYY-MM-DD
    who TEXT NOT NULL, -- role of the person, '' when not given
    why TEXT NOT NULL -- the reason given
) STRICT;
CREATE INDEX finding_history_by_finding ON finding_history (finding_id);

DROP TABLE rule;
CREATE TABLE rule (
    -- Limits, factors and phrases the program works by, as data: name says which rule, key which entry of it.
    name TEXT NOT NULL, -- the rule
    key TEXT NOT NULL, -- the entry
    value TEXT NOT NULL, -- its value; a quantity in SI
    shipped TEXT, -- the value it came with; NULL = the company's own entry
    reason TEXT NOT NULL, -- what it is for
    source TEXT NOT NULL, -- published source, or 'common practice, no source'
    PRIMARY KEY (name, key)
) STRICT, WITHOUT ROWID;
