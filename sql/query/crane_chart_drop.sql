-- Takes a crane's load chart away, to put another in its place.
DELETE FROM crane_chart WHERE crane_id = :crane;
