-- A pick the write-up is about.
INSERT INTO writeup_pick (writeup_id, position, pick_name, pick_id) VALUES (:writeup, :position, :pick_name, :pick_id);
