-- A value a person changed, with what it was.
INSERT INTO amendment (pick_id, pick_name, field, old_value, old_si, old_written, new_value, new_si, new_written, amended_on, who, why)
VALUES (:pick, :name, :field, :old_value, :old_si, :old_written, :new_value, :new_si, :new_written, :today, :who, :why);
