-- An inspection; a second one of the same day replaces what was found.
INSERT INTO sling_inspection (tag, inspected_on, who, why) VALUES (:tag, :on, :who, :why)
ON CONFLICT (tag, inspected_on) DO UPDATE SET who = excluded.who, why = excluded.why;
