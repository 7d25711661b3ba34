-- A density the company accepts.
INSERT INTO density_assumption (
    species_id, density_kg_m3, sd_log, trees, picks, since, accepted_on, who, why, evidence, lowers_weight
)
VALUES (:species_id, :density, :sd_log, :trees, :picks, :today, :today, :who, :why, :evidence, :lowers);
