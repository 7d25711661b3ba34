-- Write-ups, the newest first; :id 0 = all.
SELECT w.id, w.token, w.title, w.severity, w.probability, w.state, w.opened_on, w.told,
       (SELECT group_concat(pick_name, ', ') FROM (SELECT pick_name FROM writeup_pick WHERE writeup_id = w.id ORDER BY position)) AS picks,
       r.revision, r.stored_on, r.who,
       -- each on its own: the name of a pick may hold a comma
       (SELECT group_concat(pick_name, char(31)) FROM (SELECT pick_name FROM writeup_pick WHERE writeup_id = w.id ORDER BY position)) AS pick_names
FROM writeup AS w
LEFT JOIN writeup_revision AS r ON r.writeup_id = w.id
    AND r.revision = (SELECT max(revision) FROM writeup_revision WHERE writeup_id = w.id)
WHERE :id = 0 OR w.id = :id
ORDER BY w.id DESC;
