-- Settings the company changed.
SELECT name, value, si
FROM setting
ORDER BY name;
