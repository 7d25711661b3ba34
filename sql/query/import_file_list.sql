-- The files of one import in the order they came.
SELECT id, path, sha256, bytes, dialect, date_order, columns, stored, unchanged, set_aside, conflicts
FROM import_file
WHERE import_id = :import
ORDER BY id;
