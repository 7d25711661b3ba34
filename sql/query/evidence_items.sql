-- The figures that count on a day; NULL: now.
SELECT item.kind, item.species_id, item.class, item.log_shift, item.se_log, item.trees, item.picks, item.set_id
FROM evidence_item AS item
INNER JOIN evidence_set AS whole ON whole.id = item.set_id
WHERE
    (:day IS NULL OR whole.imported_on <= :day)
    AND (whole.removed_on IS NULL OR (:day IS NOT NULL AND :day < whole.removed_on))
ORDER BY item.set_id, item.kind, item.species_id, item.class;
