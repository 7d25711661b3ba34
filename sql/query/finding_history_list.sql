-- The changes of a finding's state, oldest first.
SELECT old_state, new_state, changed_on, who, why
FROM finding_history
WHERE finding_id = :id
ORDER BY id;
