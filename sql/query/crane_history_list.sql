-- Every change of one crane, newest first.
SELECT field, old_value, new_value, changed_on, who, why
FROM crane_history
WHERE crane = :crane COLLATE NOCASE
ORDER BY id DESC;
