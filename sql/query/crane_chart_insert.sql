-- One row of a crane's load chart.
INSERT INTO crane_chart (crane_id, boom_length_m, radius_m, capacity_kg) VALUES (:crane, :boom, :radius, :capacity);
