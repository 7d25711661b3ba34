-- What a limit was before.
INSERT INTO rule_history (name, key, old_value, new_value, changed_on, who, why)
VALUES (:name, :key, (SELECT value FROM rule WHERE name = :name AND key = :key), :new_value, :today, :who, :why);
