-- A setting takes a new value.
INSERT INTO setting (name, value, si, changed_on, who, why)
VALUES (:name, :value, :si, :today, :who, :why)
ON CONFLICT (name) DO UPDATE SET value = excluded.value, si = excluded.si, changed_on = excluded.changed_on, who = excluded.who, why = excluded.why;
