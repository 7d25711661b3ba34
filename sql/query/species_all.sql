-- Every species with the handbook's figures.
SELECT
    id, common, scientific, symbol, hardwood, placeholder, gravity, moisture_pct, bark_volume_pct, wood_density_kg_m3,
    density_kg_m3, ceiling_kg_m3, source
FROM species
ORDER BY id;
