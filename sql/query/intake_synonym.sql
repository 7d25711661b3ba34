-- The canonical column a spelling may mean.
SELECT field FROM header_synonym WHERE spelling = :spelling;
