-- A sling's entry as it is from now on.
INSERT INTO sling (tag, kind, wll_kg, length_m, factor, stiffness_n, source, retired_on, changed_on, who, why)
VALUES (:tag, :kind, :wll, :length, :factor, :stiffness, :source, :retired_on, :today, :who, :why)
ON CONFLICT (tag) DO UPDATE SET
    kind = excluded.kind, wll_kg = excluded.wll_kg, length_m = excluded.length_m, factor = excluded.factor,
    stiffness_n = excluded.stiffness_n, source = excluded.source, retired_on = excluded.retired_on,
    changed_on = excluded.changed_on, who = excluded.who, why = excluded.why;
