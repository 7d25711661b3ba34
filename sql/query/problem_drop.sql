-- A person decided that a row set aside is no pick, or not worth mending.
INSERT INTO set_aside_drop (set_aside_id, dropped_on, who, why)
VALUES (:id, :today, :who, :why);
