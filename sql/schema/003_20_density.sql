-- A company's density can be taken back: the row stays, with the day from which it no longer holds.

ALTER TABLE density_assumption RENAME TO density_assumption_before;

CREATE TABLE density_assumption (
    -- A green density the company accepted for a species from its own weighed wood. A newer row replaces an older one from its date on; reviews of earlier months keep the figure they used.
    id INTEGER PRIMARY KEY, -- row number
    species_id INTEGER NOT NULL REFERENCES species (id), -- the species
    density_kg_m3 REAL NOT NULL, -- green density of wood and bark over the volume outside bark
    sd_log REAL, -- standard deviation of its natural logarithm
    trees INTEGER, -- weighed trees it rests on
    picks INTEGER, -- weighed picks it rests on
    since TEXT NOT NULL, -- first date it is used for, YYYY-MM-DD
    accepted_on TEXT NOT NULL, -- the day it was accepted, YYYY-MM-DD
    who TEXT NOT NULL, -- role of the person who accepted it
    why TEXT NOT NULL, -- the reason given
    evidence TEXT NOT NULL, -- what it rests on, in a sentence
    lowers_weight INTEGER NOT NULL, -- 1 when it makes planned weights lighter than the figure before
    undone_on TEXT, -- the first day it no longer holds, YYYY-MM-DD; NULL while it stands
    undone_who TEXT, -- role of the person who took it back
    undone_why TEXT, -- the reason given for taking it back
    CONSTRAINT density_assumption_is_a_wood CHECK (density_kg_m3 > 100 AND density_kg_m3 < 1600),
    CONSTRAINT density_assumption_since_is_a_date CHECK (since IS date(since)),
    CONSTRAINT density_assumption_lowers_is_0_or_1 CHECK (lowers_weight IN (0, 1)),
    CONSTRAINT density_assumption_undone_is_a_date CHECK (undone_on IS NULL OR undone_on IS date(undone_on)),
    CONSTRAINT density_assumption_undone_has_a_reason CHECK ((undone_on IS NULL) = (undone_why IS NULL))
) STRICT;

INSERT INTO density_assumption (
    id, species_id, density_kg_m3, sd_log, trees, picks, since, accepted_on, who, why, evidence, lowers_weight
)
SELECT id, species_id, density_kg_m3, sd_log, trees, picks, since, accepted_on, who, why, evidence, lowers_weight
FROM density_assumption_before;

DROP TABLE density_assumption_before;

CREATE INDEX density_assumption_of_species ON density_assumption (species_id, since);
