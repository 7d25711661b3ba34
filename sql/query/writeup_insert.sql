-- Opens a write-up.
INSERT INTO writeup (pick_id, pick_name, title, opened_on, token, told)
VALUES (:pick_id, :pick_name, :title, :today, :token, :told);
