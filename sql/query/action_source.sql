-- Do the write-up and the finding exist that an action follows from? 0 stands for none.
SELECT :writeup = 0 OR EXISTS (SELECT 1 FROM writeup WHERE id = :writeup),
       :finding = 0 OR EXISTS (SELECT 1 FROM finding WHERE id = :finding);
