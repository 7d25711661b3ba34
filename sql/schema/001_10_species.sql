-- Species, the names people write for them, and the company's own densities.

CREATE TABLE species (
    -- One row per species or group of species, with the handbook's green densities. The handbook's figures are never changed here; the company's own stand in density_assumption.
    id INTEGER PRIMARY KEY, -- the species code of the source table (FIA SPCD)
    common TEXT NOT NULL, -- common name
    scientific TEXT NOT NULL, -- botanical name
    symbol TEXT NOT NULL, -- USDA PLANTS symbol
    hardwood INTEGER NOT NULL, -- 1 hardwood, 0 softwood
    placeholder INTEGER NOT NULL, -- 1 when the table's value stands for a group: a weak prior
    gravity REAL NOT NULL, -- specific gravity of the wood, oven-dry mass over green volume
    moisture_pct REAL NOT NULL, -- green moisture content of the wood, percent of its dry mass
    bark_gravity REAL, -- specific gravity of the bark
    bark_moisture_pct REAL, -- green moisture content of the bark, percent of its dry mass
    bark_volume_pct REAL NOT NULL, -- volume of the bark, percent of the wood's volume
    wood_lb_ft3 REAL NOT NULL, -- green density of the wood as printed, pounds per cubic foot
    bark_lb_ft3 REAL, -- green density of the bark as printed, pounds per cubic foot
    wood_bark_lb_ft3 REAL, -- green density of wood and bark as printed, over the volume outside bark, pounds per cubic foot
    wood_density_kg_m3 REAL NOT NULL, -- wood_lb_ft3 in kilograms per cubic metre
    density_kg_m3 REAL, -- wood_bark_lb_ft3 in kilograms per cubic metre
    ceiling_kg_m3 REAL NOT NULL, -- no sound wood is heavier: Wood Handbook Eq 4-3 with 4-14, 1000 (1 + 0.351 gravity)
    heartwood_moisture_pct REAL, -- green moisture content of the heartwood, Wood Handbook Table 4-1
    sapwood_moisture_pct REAL, -- green moisture content of the sapwood, Wood Handbook Table 4-1
    table_4_1 TEXT, -- how the two moisture contents of Table 4-1 were had: read in the document, or recalled and to be confirmed
    source TEXT NOT NULL, -- where the row comes from
    CONSTRAINT species_common_once UNIQUE (common),
    CONSTRAINT species_symbol_once UNIQUE (symbol),
    CONSTRAINT species_hardwood_is_0_or_1 CHECK (hardwood IN (0, 1)),
    CONSTRAINT species_placeholder_is_0_or_1 CHECK (placeholder IN (0, 1)),
    CONSTRAINT species_gravity_is_a_wood CHECK (gravity > 0.1 AND gravity < 1.4),
    CONSTRAINT species_moisture_not_negative CHECK (moisture_pct >= 0),
    CONSTRAINT species_density_is_a_wood CHECK (density_kg_m3 > 100 AND density_kg_m3 < 1600),
    CONSTRAINT species_table_4_1_is_known CHECK (table_4_1 IN ('read', 'recalled'))
) STRICT;

CREATE TABLE species_name (
    -- Every way a species is written. A key with several rows is ambiguous: all readings are offered, none is chosen in silence.
    key TEXT NOT NULL, -- the name in small letters without blanks, dots, hyphens and other marks
    reading INTEGER NOT NULL, -- 1, 2, ... among the readings of one key
    name TEXT NOT NULL, -- the name as people write it
    species_id INTEGER REFERENCES species (id), -- the species it may mean; NULL when that species is not in this book
    kind TEXT NOT NULL, -- common, scientific, symbol, or alias: a name of the trade (common practice, no source)
    remark TEXT, -- what the name means where the species is not in this book
    PRIMARY KEY (key, reading),
    CONSTRAINT species_name_kind_is_known CHECK (kind IN ('common', 'scientific', 'symbol', 'alias')),
    CONSTRAINT species_name_means_something CHECK (species_id IS NOT NULL OR remark IS NOT NULL)
) STRICT, WITHOUT ROWID;

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
    CONSTRAINT density_assumption_is_a_wood CHECK (density_kg_m3 > 100 AND density_kg_m3 < 1600),
    CONSTRAINT density_assumption_since_is_a_date CHECK (since IS date(since)),
    CONSTRAINT density_assumption_lowers_is_0_or_1 CHECK (lowers_weight IN (0, 1)),
    CONSTRAINT density_assumption_once_a_day UNIQUE (species_id, since, accepted_on)
) STRICT;
