-- Densities the company accepted, oldest first, those taken back too.
SELECT
    id, species_id, density_kg_m3, sd_log, trees, picks, since, accepted_on, who, why, evidence, lowers_weight, undone_on,
    undone_who, undone_why
FROM density_assumption
ORDER BY since, id;
