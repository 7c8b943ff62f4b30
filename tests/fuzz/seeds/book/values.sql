UPDATE target SET l = 9e999;
UPDATE reading SET l = -1, uncertainty = 1e300;
UPDATE pattern SET name = char(1,0,9731) || zeroblob(300);
PRAGMA foreign_keys = OFF;
UPDATE cup SET layer = 99;
UPDATE entry SET numbers = x'fffefdfc', record = '{"made":{"reading":[1,9]}}';
UPDATE phrase SET words = '#####', record = '{"were":{"batch":[{"id":1,"note":5}]}}';
