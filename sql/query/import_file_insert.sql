-- A log file of an import; its counts follow at the end of the file.
INSERT INTO import_file (import_id, path, sha256, bytes, dialect, date_order, columns)
VALUES (:import, :path, :sha256, :bytes, :dialect, :date_order, :columns);
