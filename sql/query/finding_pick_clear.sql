-- The picks of a finding are written again.
DELETE FROM finding_pick WHERE finding_id = :id;
