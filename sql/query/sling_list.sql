-- Every sling entered, with the day of its last inspection.
SELECT
    tag, kind, wll_kg, length_m, factor, stiffness_n, source, retired_on,
    (SELECT max(inspected_on) FROM sling_inspection WHERE sling_inspection.tag = sling.tag) AS inspected_on
FROM sling
ORDER BY tag;
