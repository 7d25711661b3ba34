-- A person says what becomes of a finding.
UPDATE finding
SET state = :state, state_on = :today, state_picks = picks, who = :who, why = :why
WHERE id = :id;
