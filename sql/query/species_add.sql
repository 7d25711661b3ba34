-- A species of the company's own, behind the numbers of the source table.
INSERT INTO species (
    id, common, scientific, symbol, hardwood, placeholder, gravity, moisture_pct, bark_volume_pct, wood_lb_ft3,
    wood_density_kg_m3, density_kg_m3, ceiling_kg_m3, source
)
SELECT
    max(:first, coalesce(max(id) + 1, 0)), :common, :scientific, 'OWN' || (max(:first, coalesce(max(id) + 1, 0)) - :first + 1),
    :hardwood, 1, :gravity, :moisture, 0, :density / 16.018463373960142, :density, :density, :ceiling, :source
FROM species;
