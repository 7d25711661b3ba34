-- What a sling's entry was before.
INSERT INTO sling_history (tag, field, old_value, new_value, changed_on, who, why)
VALUES (:tag, :field, :old_value, :new_value, :today, :who, :why);
