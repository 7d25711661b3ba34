-- One figure of the set taken in last.
INSERT INTO evidence_item (set_id, kind, species_id, class, log_shift, se_log, trees, picks)
VALUES (
    (SELECT max(id) FROM evidence_set), :kind, :species_id, :class, :log_shift, :se_log, :trees, :picks
);
