-- What a setting was before.
INSERT INTO setting_history (name, old_value, new_value, changed_on, who, why)
VALUES (:name, :old_value, :new_value, :today, :who, :why);
