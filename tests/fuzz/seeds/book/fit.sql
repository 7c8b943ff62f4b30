UPDATE fit SET shelf = '{}', report = '[[[[';
UPDATE bench SET marks = 'null', slab = '{"thickness_mm":"x"}';
