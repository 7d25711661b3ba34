-- One sling by its tag, case ignored.
SELECT kind, wll_kg, length_m, factor, stiffness_n, source, retired_on
FROM sling
WHERE tag = :tag;
