-- A row of a log that was not stored.
INSERT INTO set_aside (file_id, line, column, field, text, reason, remedy, raw)
VALUES (:file, :line, :column, :field, :text, :reason, :remedy, :raw);
