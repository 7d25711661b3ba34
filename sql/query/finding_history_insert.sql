-- What a finding's state was before.
INSERT INTO finding_history (finding_id, old_state, new_state, changed_on, who, why)
SELECT id, state, :state, :today, :who, :why FROM finding WHERE id = :id;
