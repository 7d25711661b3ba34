-- One change of an action.
INSERT INTO action_history (action_id, field, old_value, new_value, changed_on, who, why)
VALUES (:id, :field, :old, :new, :today, :who, :why);
