-- One value in which a second reading differs.
INSERT INTO conflict_value (conflict_id, field, stored, offered)
VALUES (:conflict, :field, :stored, :offered);
