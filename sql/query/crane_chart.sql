-- The load chart of one crane.
SELECT boom_length_m, radius_m, capacity_kg
FROM crane_chart
WHERE crane_id = :crane
ORDER BY boom_length_m, radius_m;
