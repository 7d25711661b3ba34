-- Keeps a profile in the place of the one that went to the history.
INSERT INTO profile (name, text, changed_on, who, why) VALUES (:name, :text, :today, :who, :why)
ON CONFLICT (name) DO UPDATE SET text = excluded.text, changed_on = excluded.changed_on, who = excluded.who, why = excluded.why;
