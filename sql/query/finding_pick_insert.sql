-- A pick a finding rests on; the pick itself is looked up by the parts of its name.
INSERT INTO finding_pick (finding_id, position, pick_name, pick_id)
VALUES (:id, :position, :pick_name,
    (SELECT pick.id FROM job CROSS JOIN pick ON pick.job_id = job.id WHERE job.job = :job AND pick.part = :part AND pick.pick = :pick));
