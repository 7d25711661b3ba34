-- Headers and the column each must mean.
SELECT header, field FROM header_example ORDER BY header;
