-- Actions: what is due first comes first; :id 0 = all, :writeup 0 = of any write-up or none.
SELECT a.id, a.writeup_id, a.finding_id, a.says, a.control, a.owner, a.due, a.target, a.state, a.opened_on, a.closed_on,
       m.figure, m.species, m.cut, m.crew
FROM action AS a
LEFT JOIN action_measure AS m ON m.action_id = a.id
WHERE (:id = 0 OR a.id = :id) AND (:writeup = 0 OR a.writeup_id = :writeup)
ORDER BY a.state <> 'open', a.due, a.id;
