-- Attaches a file; the same name again replaces what it was.
INSERT INTO writeup_attachment (writeup_id, name, sha256, bytes, says, added_on, who)
VALUES (:writeup, :name, :sha256, :bytes, :says, :today, :who)
ON CONFLICT (writeup_id, name) DO UPDATE SET sha256 = excluded.sha256, bytes = excluded.bytes, says = excluded.says,
    added_on = excluded.added_on, who = excluded.who;
