-- A finding the write-up takes up.
INSERT INTO writeup_finding (writeup_id, finding_id) VALUES (:writeup, :finding) ON CONFLICT DO NOTHING;
