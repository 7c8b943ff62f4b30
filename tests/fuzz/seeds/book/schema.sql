UPDATE sqlite_schema SET sql = 'CREATE TABLE pattern (id INTEGER PRIMARY KEY, name TEXT AS (1/0))' WHERE name = 'pattern';
UPDATE sqlite_schema SET rootpage = 2 WHERE name = 'layer';
