-- The changes of one rule, oldest first.
SELECT key, old_value, new_value, changed_on, who, why
FROM rule_history
WHERE name = :name
ORDER BY id;
