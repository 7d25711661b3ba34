-- The changes of one setting, or of all (:name NULL).
SELECT name, old_value, new_value, changed_on, who, why
FROM setting_history
WHERE :name IS NULL OR name = :name
ORDER BY id;
