-- Changes an open action: its state, day due or owner.
UPDATE action SET state = :state, due = :due, owner = :owner, closed_on = CASE WHEN :state = 'open' THEN NULL ELSE :today END
WHERE id = :id;
