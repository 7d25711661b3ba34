-- Every change of one sling, newest first.
SELECT field, old_value, new_value, changed_on, who, why
FROM sling_history
WHERE tag = :tag
ORDER BY id DESC;
