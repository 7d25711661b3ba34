-- Every species with the handbook's figures. Bark: its printed lb/ft3 times the kg/m3 of one (NIST SP 811).
SELECT
    id, common, scientific, symbol, hardwood, placeholder, gravity, moisture_pct, bark_volume_pct, wood_density_kg_m3,
    bark_lb_ft3 * 16.018463373960142, density_kg_m3, ceiling_kg_m3, heartwood_moisture_pct, sapwood_moisture_pct,
    coalesce(table_4_1 = 'recalled', 0), source
FROM species
ORDER BY id;
