-- What is attached to a write-up.
SELECT name, sha256, bytes, says, added_on, who FROM writeup_attachment WHERE writeup_id = :writeup ORDER BY name;
