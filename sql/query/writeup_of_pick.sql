-- The write-ups about a pick.
SELECT writeup_id FROM writeup_pick WHERE pick_name = :pick_name ORDER BY writeup_id;
