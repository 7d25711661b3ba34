-- What a crane's entry was before.
INSERT INTO crane_history (crane, field, old_value, new_value, changed_on, who, why)
VALUES (:crane, :field, :old_value, :new_value, :today, :who, :why);
