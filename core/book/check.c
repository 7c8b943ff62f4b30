/* Whether the book is whole. */
#include "book/entries.h"
#include "book/heat.h"
#include "book/tables.h"

#include <string.h>

enum { FAULTS_MAX = 100 };

/* Each gives one line of text a fault. */
static const char *const checks[] = {
    "PRAGMA integrity_check(100)",
    "SELECT 'row ' || rowid || ' of ' || \"table\" || ' refers to a missing ' || parent"
    " FROM pragma_foreign_key_check",
    "SELECT 'the layers of pattern ' || p.name || ' are not numbered without gaps' FROM pattern p"
    " JOIN layer l ON l.pattern = p.id GROUP BY p.id HAVING max(l.position) <> count(*) - 1",
    "SELECT 'pattern ' || name || ' has no layer' FROM pattern p"
    " WHERE NOT EXISTS (SELECT 1 FROM layer WHERE pattern = p.id)",
    "SELECT 'bottle ' || slug || ' has no lot' FROM bottle b"
    " WHERE NOT EXISTS (SELECT 1 FROM lot WHERE bottle = b.id)",
    "SELECT 'the additions of cup ' || cup || ' are not numbered without gaps' FROM addition GROUP BY cup"
    " HAVING max(position) <> count(*) - 1",
    "SELECT 'cup ' || c.id || ' is for a layer of another pattern' FROM cup c JOIN batch b ON b.id = c.batch"
    " JOIN layer l ON l.id = c.layer WHERE l.pattern <> b.pattern",
    "SELECT 'the temperature of cup ' || c.id || ' is not that of its last note' FROM cup c"
    " WHERE EXISTS (SELECT 1 FROM heat WHERE cup = c.id AND temperature_f IS NOT NULL)"
    " AND temperature_f IS NOT " DW__HEAT_LAST("temperature_f"),
    "SELECT 'pour ' || p.id || ' holds more additions than its cup' FROM pour p"
    " WHERE additions > (SELECT count(*) FROM addition a WHERE a.cup = p.cup)",
    "SELECT 'reading ' || r.id || ' is of a layer of another pattern' FROM reading r"
    " JOIN batch b ON b.id = r.batch JOIN layer l ON l.id = r.layer WHERE l.pattern <> b.pattern",
    "SELECT 'fills of mold ' || m.name || ' took no more than its runner, or more than a mold holds' FROM "
    "mold m"
    " JOIN fill_record r ON r.mold = m.id GROUP BY m.id HAVING"
    " (sum(r.filled_ml - r.left_ml) / sum(r.fills) - m.runner_ml) / m.cavities NOT BETWEEN 1e-6 AND 5000",
#define JSON_FAULT(table, column, type)                                                                      \
  "SELECT '" column " of " table " ' || id || ' is no JSON " type "' FROM " table                            \
  " WHERE NOT json_valid(" column ") OR json_type(" column ") <> '" type "'"
    JSON_FAULT("target", "detail", "object"),
    JSON_FAULT("tone_color", "detail", "object"),
    JSON_FAULT("fit", "shelf", "object"),
    JSON_FAULT("fit", "report", "object"),
    JSON_FAULT("look", "marks", "object"),
    JSON_FAULT("travel", "detail", "object"),
    "SELECT 'travel ' || t.id || ' is of a batch of another pattern' FROM travel t JOIN layer l ON l.id = "
    "t.layer"
    " JOIN batch b ON b.id = t.batch WHERE b.pattern <> l.pattern",
    "SELECT 'pattern ' || p.id || ' is a swirl of ' || count(*) || ' colors' FROM pattern p JOIN layer l"
    " ON l.pattern = p.id WHERE p.swirl IS NOT NULL GROUP BY p.id HAVING count(*) NOT BETWEEN 2 AND 3",
    JSON_FAULT("look", "light", "object"),
    JSON_FAULT("bench", "marks", "object"),
    JSON_FAULT("bench", "slab", "object"),
    "SELECT 'bench ' || w.id || ' has a batch of another pattern' FROM bench w JOIN batch b ON b.id = w.batch"
    " WHERE b.pattern <> w.pattern",
    /* the record's runs stand behind those of the words */
    "SELECT 'entry ' || e.id || ' can''t be read' FROM entry e JOIN phrase p ON p.id = e.phrase"
    " WHERE entry_record(p.words, p.record, e.numbers) IS NULL",
    /* in two, so that the many records that hold no values are not parsed */
    "SELECT 'record of entry ' || id || ' is no JSON object' FROM entry WHERE record IS NOT NULL"
    " AND (NOT json_valid(record) OR json_type(record) <> 'object')",
    "SELECT 'entry ' || id || ' has an unknown key in its record' FROM entry WHERE json_valid(record) AND "
    "EXISTS"
    " (SELECT 1 FROM json_each(record) WHERE key NOT IN ('made', 'were', 'gone') OR type <> 'object')",
    "SELECT 'the record of phrase ' || id || ' is no JSON object' FROM phrase WHERE record <> ''"
    " AND (NOT json_valid(replace(record, '#', '')) OR json_type(replace(record, '#', '')) <> 'object')",
    "SELECT 'entry ' || id || ' is done behind one that was taken back' FROM entry WHERE state = 0"
    " AND id > (SELECT min(id) FROM entry WHERE state = 1)",
    "SELECT 'the book''s clock is missing' WHERE NOT EXISTS (SELECT 1 FROM clock)",
    "SELECT 'reading ' || r.id || ' replaces one of another batch, layer or bait' FROM reading r JOIN "
    "reading o"
    " ON o.id = r.replaces WHERE o.batch <> r.batch OR o.layer <> r.layer OR o.bait <> r.bait OR o.id >= "
    "r.id",
    "SELECT 'reading ' || r.id || ' is of a pour of another cup' FROM reading r JOIN pour p ON p.id = r.pour"
    " JOIN cup c ON c.id = p.cup WHERE c.batch <> r.batch OR c.layer <> r.layer",
};

/* How many there may be: ?1. */
static const struct {
  int64_t most;
  const char *sql;
} counts[] = {
    {DW_SHELF_MAX, "SELECT 'the shelf holds ' || n || ' bottles; ' || ?1 || ' is the most'"
                   " FROM (SELECT count(*) AS n FROM bottle WHERE removed IS NULL) WHERE n > ?1"},
    {DW_CHIPS_MAX, "SELECT 'there are ' || n || ' chips; ' || ?1 || ' is the most'"
                   " FROM (SELECT count(*) AS n FROM chip) WHERE n > ?1"},
    {DW_CUP_BOTTLES_MAX,
     "SELECT 'chip ' || p.chip || ' is of more than ' || ?1 || ' bottles' FROM chip_part p"
     " JOIN lot ON lot.id = p.lot GROUP BY p.chip HAVING count(DISTINCT lot.bottle) > ?1"},
};

static dw_status run_check(dw_book *book, const char *sql, int64_t most, size_t *faults, dw_text *found,
                           dw_error *err) {
  dw__query query;
  bool row = true;
  dw_status status = dw__query_open(book, sql, &query, err, strstr(sql, "?1") ? "i" : "", most);
  while (status == DW_OK && (status = dw__query_next(&query, &row, err)) == DW_OK && row &&
         *faults < FAULTS_MAX) {
    const char *line = dw__query_text(&query, 0);
    if (strcmp(line, "ok") == 0) continue;
    dw_text_add(found, "%s\n", line);
    ++*faults;
  }
  dw__query_close(&query);
  return status;
}

static bool is_number(const dw__column *column) {
  return column->kind == DW__WHOLE || column->kind == DW__REAL;
}

/* Numbers that no command would have written; an absent one (NULL) is in no range and out of none. */
static dw_status check_ranges(dw_book *book, const dw__table *table, size_t *faults, dw_text *found,
                              dw_error *err) {
  dw_text sql = {0};
  size_t n = 0;
  dw_text_add(&sql, "SELECT '%s ' || id || ' has an impossible ' || CASE", table->name);
  for (size_t i = 0; i < table->n; i++) {
    const dw__column *c = &table->column[i];
    if (!is_number(c)) continue;
    dw_text_add(&sql, " WHEN %s NOT BETWEEN %.17g AND %.17g THEN '%s, ' || %s", c->name, c->min, c->max,
                c->name, c->name);
    n++;
  }
  dw_text_add(&sql, " END FROM %s WHERE NOT (1", table->name);
  for (size_t i = 0; i < table->n; i++) {
    const dw__column *c = &table->column[i];
    if (is_number(c)) dw_text_add(&sql, " AND %s BETWEEN %.17g AND %.17g", c->name, c->min, c->max);
  }
  dw_text_add(&sql, ")");
  dw_status status = DW_OK;
  if (sql.failed)
    status = dw_fail_memory(err, "the check");
  else if (n > 0)
    status = run_check(book, sql.data, 0, faults, found, err);
  dw_text_free(&sql);
  return status;
}

static dw_status look(dw_book *book, size_t *faults, dw_text *found, dw_error *err) {
  dw_status status = DW_OK;
  *faults = 0;
  for (size_t i = 0; i < sizeof checks / sizeof *checks && status == DW_OK; i++)
    status = run_check(book, checks[i], 0, faults, found, err);
  for (size_t i = 0; i < sizeof counts / sizeof *counts && status == DW_OK; i++)
    status = run_check(book, counts[i].sql, counts[i].most, faults, found, err);
  for (size_t i = 0; i < dw__table_count && status == DW_OK; i++)
    if (!dw__tables[i].until) status = check_ranges(book, &dw__tables[i], faults, found, err);
  return status == DW_OK && found->failed ? dw_fail_memory(err, "the check") : status;
}

dw_status dw_book_check(dw_book *book, dw_text *found, dw_error *err) {
  size_t faults, again;
  dw_text first = {0};
  dw_status status = look(book, &faults, &first, err);
  dw_text_free(&first);
  if (status != DW_OK || faults == 0) return status;
  /* SQLite calls a text no JSON and a page damaged where it lacks the memory to look at it, so that only what
   * is found twice is a fault. */
  status = look(book, &again, found, err);
  if (status != DW_OK || again == 0) return status;
  return dw_fail(err, DW_CORRUPT, "The book %s has %zu fault%s; restore a backup with dropwise book restore.",
                 book->path, again, again == 1 ? "" : "s");
}
