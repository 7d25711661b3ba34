-- Every leg with anything recorded, with the name of its pick.
CREATE VIEW legs AS
SELECT
    name,
    1 AS leg_no,
    leg_1_kind AS kind,
    leg_1_hitch AS hitch,
    leg_1_locks AS locks,
    leg_1_at_m AS at_m,
    leg_1_length_m AS length_m,
    leg_1_side_m AS side_m,
    leg_1_state AS state,
    leg_1_wll_kg AS wll_kg,
    leg_1_tag AS tag
FROM picks
WHERE leg_1_kind IS NOT NULL OR leg_1_hitch IS NOT NULL OR leg_1_locks IS NOT NULL OR leg_1_at_m IS NOT NULL OR leg_1_length_m IS NOT NULL OR leg_1_side_m IS NOT NULL OR leg_1_state IS NOT NULL OR leg_1_wll_kg IS NOT NULL OR leg_1_tag IS NOT NULL
UNION ALL
SELECT
    name,
    2 AS leg_no,
    leg_2_kind AS kind,
    leg_2_hitch AS hitch,
    leg_2_locks AS locks,
    leg_2_at_m AS at_m,
    leg_2_length_m AS length_m,
    leg_2_side_m AS side_m,
    leg_2_state AS state,
    leg_2_wll_kg AS wll_kg,
    leg_2_tag AS tag
FROM picks
WHERE leg_2_kind IS NOT NULL OR leg_2_hitch IS NOT NULL OR leg_2_locks IS NOT NULL OR leg_2_at_m IS NOT NULL OR leg_2_length_m IS NOT NULL OR leg_2_side_m IS NOT NULL OR leg_2_state IS NOT NULL OR leg_2_wll_kg IS NOT NULL OR leg_2_tag IS NOT NULL
UNION ALL
SELECT
    name,
    3 AS leg_no,
    leg_3_kind AS kind,
    leg_3_hitch AS hitch,
    leg_3_locks AS locks,
    leg_3_at_m AS at_m,
    leg_3_length_m AS length_m,
    leg_3_side_m AS side_m,
    leg_3_state AS state,
    leg_3_wll_kg AS wll_kg,
    leg_3_tag AS tag
FROM picks
WHERE leg_3_kind IS NOT NULL OR leg_3_hitch IS NOT NULL OR leg_3_locks IS NOT NULL OR leg_3_at_m IS NOT NULL OR leg_3_length_m IS NOT NULL OR leg_3_side_m IS NOT NULL OR leg_3_state IS NOT NULL OR leg_3_wll_kg IS NOT NULL OR leg_3_tag IS NOT NULL
UNION ALL
SELECT
    name,
    4 AS leg_no,
    leg_4_kind AS kind,
    leg_4_hitch AS hitch,
    leg_4_locks AS locks,
    leg_4_at_m AS at_m,
    leg_4_length_m AS length_m,
    leg_4_side_m AS side_m,
    leg_4_state AS state,
    leg_4_wll_kg AS wll_kg,
    leg_4_tag AS tag
FROM picks
WHERE leg_4_kind IS NOT NULL OR leg_4_hitch IS NOT NULL OR leg_4_locks IS NOT NULL OR leg_4_at_m IS NOT NULL OR leg_4_length_m IS NOT NULL OR leg_4_side_m IS NOT NULL OR leg_4_state IS NOT NULL OR leg_4_wll_kg IS NOT NULL OR leg_4_tag IS NOT NULL;
