-- Every leg with the name of its pick.
CREATE VIEW legs AS
SELECT
    picks.name AS name,
    leg.leg_no AS leg_no,
    leg.kind AS kind,
    leg.hitch AS hitch,
    leg.locks AS locks,
    leg.at_m AS at_m,
    leg.length_m AS length_m,
    leg.side_m AS side_m,
    leg.state AS state,
    leg.wll_kg AS wll_kg,
    leg.tag AS tag
FROM leg
JOIN picks ON picks.pick_id = leg.pick_id;
