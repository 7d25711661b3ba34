-- Rows set aside by imports that still count, in the order of the files. :import 0 = all imports.
SELECT
    set_aside.id, import_file.import_id, import_file.path, set_aside.line, set_aside.column, set_aside.field, set_aside.text,
    set_aside.reason, set_aside.remedy, set_aside.raw
FROM set_aside
JOIN import_file ON import_file.id = set_aside.file_id
JOIN import ON import.id = import_file.import_id
WHERE import.undone_on IS NULL AND (:import = 0 OR import.id = :import)
ORDER BY set_aside.id;
