-- The cranes that logs name, case and blanks around ignored; the spelling is that of most picks.
WITH written AS (
    SELECT trim(crane) AS name, count(*) AS picks, min(date) AS first, max(date) AS last
    FROM pick
    WHERE trim(coalesce(crane, '')) <> ''
    GROUP BY trim(crane)
),
ranked AS (
    SELECT name, picks, first, last, row_number() OVER (PARTITION BY name COLLATE NOCASE ORDER BY picks DESC, name) AS place
    FROM written
)
SELECT max(CASE WHEN place = 1 THEN name END), sum(picks), min(first), max(last)
FROM ranked
GROUP BY name COLLATE NOCASE
ORDER BY name COLLATE NOCASE;
