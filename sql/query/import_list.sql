-- Imports with their counts, the newest first.
SELECT
    import.id,
    import.imported_on,
    import.who,
    count(import_file.id) AS files,
    coalesce(sum(import_file.stored), 0) AS stored,
    coalesce(sum(import_file.unchanged), 0) AS unchanged,
    coalesce(sum(import_file.set_aside), 0) AS set_aside,
    coalesce(sum(import_file.conflicts), 0) AS conflicts,
    import.undone_on,
    import.undone_by,
    import.undone_why
FROM import
LEFT JOIN import_file ON import_file.import_id = import.id
GROUP BY import.id
ORDER BY import.id DESC;
