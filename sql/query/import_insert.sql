-- A new import.
INSERT INTO import (imported_on, who)
VALUES (:today, :who);
