-- The import that has a file of these very bytes and still counts; of a workbook with its sheet named, one that has read that sheet. A file of which not one row went in is not known: it may be
-- read again with other words about its dates or units.
SELECT import_file.import_id FROM import_file
JOIN import ON import.id = import_file.import_id
WHERE import_file.sha256 = :sha256
    AND (:sheet = '' OR instr(import_file.dialect, 'sheet ''' || :sheet || '''') > 0)
    AND import.undone_on IS NULL
    AND import_file.read_again = 0
    AND import_file.stored + import_file.unchanged + import_file.conflicts > 0
ORDER BY import_file.import_id
LIMIT 1;
