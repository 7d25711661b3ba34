-- A crane about which nothing is entered yet.
INSERT INTO crane (name) VALUES (:name);
