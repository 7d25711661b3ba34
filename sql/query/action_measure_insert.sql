-- The figure an action should move.
INSERT INTO action_measure (action_id, figure, species, cut, crew) VALUES (:action, :figure, :species, :cut, :crew);
