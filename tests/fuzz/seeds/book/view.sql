DROP TABLE tone_color;
CREATE VIEW tone_color AS WITH RECURSIVE c(x) AS (SELECT 1 UNION ALL SELECT x+1 FROM c) SELECT x AS id, 1 AS tone, x AS l, x AS a, x AS b FROM c;
