-- Warnings of imports that still count. :import 0 = all imports.
SELECT warning.id, import_file.import_id, import_file.path, warning.line, warning.field, warning.says
FROM warning
JOIN import_file ON import_file.id = warning.file_id
JOIN import ON import.id = import_file.import_id
WHERE import.undone_on IS NULL AND (:import = 0 OR import.id = :import)
ORDER BY warning.id;
