-- A second reading of a stored pick that says something else.
INSERT INTO conflict (pick_id, pick_name, file_id, line, raw)
VALUES (:pick, :name, :file, :line, :raw);
