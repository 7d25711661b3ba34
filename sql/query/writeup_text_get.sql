-- A kept text; :revision 0 = the last.
SELECT revision, text, stored_on, who, why FROM writeup_revision
WHERE writeup_id = :writeup AND (:revision = 0 OR revision = :revision)
ORDER BY revision DESC LIMIT 1;
