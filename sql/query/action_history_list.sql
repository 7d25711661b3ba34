-- The changes of an action in the order they were made.
SELECT field, old_value, new_value, changed_on, who, why FROM action_history WHERE action_id = :id ORDER BY id;
