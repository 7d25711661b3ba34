-- What the tables promise each other beyond their constraints; one row per broken promise.
WITH held AS (
    SELECT file_id, count(*) AS picks
    FROM pick
    GROUP BY file_id
)
SELECT 'import ' || import.id || ' was taken out but holds ' || held.picks || ' picks' AS says
FROM import
JOIN import_file ON import_file.import_id = import.id
JOIN held ON held.file_id = import_file.id
WHERE import.undone_on IS NOT NULL
UNION ALL
SELECT 'file ' || import_file.path || ' of import ' || import.id || ' counts ' || import_file.stored || ' picks but ' || coalesce(held.picks, 0) || ' are there'
FROM import_file
JOIN import ON import.id = import_file.import_id
LEFT JOIN held ON held.file_id = import_file.id
WHERE import.undone_on IS NULL AND import_file.stored <> coalesce(held.picks, 0)
UNION ALL
SELECT 'pick ' || pick.id || ' has a tree of another job'
FROM pick
JOIN tree ON tree.id = pick.tree_id
WHERE tree.job_id <> pick.job_id;
