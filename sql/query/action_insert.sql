-- Agrees an action.
INSERT INTO action (writeup_id, finding_id, says, control, owner, due, measure, target, opened_on)
VALUES (:writeup, :finding, :says, :control, :owner, :due, :measure, :target, :today);
