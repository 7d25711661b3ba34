-- A warning about a stored row or a file.
INSERT INTO warning (file_id, line, field, says)
VALUES (:file, :line, :field, :says);
