-- Where a pick came from: its log, how that was read, and the import.
SELECT
    import_file.path, import_file.sha256, import_file.dialect, import_file.date_order, pick.line, import.id,
    import.imported_on, import.who
FROM pick
JOIN import_file ON import_file.id = pick.file_id
JOIN import ON import.id = import_file.import_id
WHERE pick.id = :pick;
