/* Colors as CGATS.17 text, through LittleCMS's own writer. */
#include "book/sql.h"
#include "dropwise/book_pours.h"

#include <lcms2.h>
#include <stdlib.h>
#include <string.h>

enum { FIELDS = 6, SETS_MAX = 30000, NAME_ROOM = 256 }; /* LittleCMS reads tables of less than 32767 sets */

static const char *const fields[FIELDS] = {"SAMPLE_ID", "SAMPLE_NAME", "LAB_L", "LAB_A", "LAB_B", "STDEV_DE"};

/* What a table is made of: id, name, L, a, b, uncertainty. types: of what the query is given, "" or "ii" for
 * the bait numbers of colors from elsewhere and of drops. */
typedef struct source {
  const char *title, *prefix, *types, *sql;
} source;

static const source sources[] = {
    {"targets", "T", "",
     "SELECT t.id, p.name || '/' || l.name, t.l, t.a, t.b, t.uncertainty FROM target t"
     " JOIN layer l ON l.id = t.layer JOIN pattern p ON p.id = l.pattern ORDER BY t.id"},
    {"tones", "N", "",
     "SELECT c.id, t.name, c.l, c.a, c.b, 0.0 FROM tone_color c JOIN tone t ON t.id = c.tone ORDER BY c.id"},
    {"readings", "R", "ii",
     "SELECT r.id, p.name || '/' || l.name || '/' || b.name || '/'"
     " || CASE r.bait WHEN ?1 THEN 'taken over' WHEN ?2 THEN 'drizzled' ELSE r.bait + 1 END, r.l, r.a, r.b, "
     "r.uncertainty"
     " FROM reading_now r JOIN layer l ON l.id = r.layer JOIN batch b ON b.id = r.batch"
     " JOIN pattern p ON p.id = b.pattern ORDER BY r.id"},
};

typedef struct color_row {
  int64_t id;
  char name[NAME_ROOM];
  double value[4];
} color_row;

static dw_status row_from_query(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  color_row *out = element;
  out->id = dw__query_integer(query, 0);
  dw__query_copy(query, 1, out->name, sizeof out->name);
  for (char *p = out->name; *p; p++)
    if (*p == '"') *p = '\''; /* CGATS quotes strings and has no escape */
  for (int i = 0; i < 4; i++) out->value[i] = dw__query_number(query, i + 2);
  return DW_OK;
}

static bool set_count(cmsHANDLE it8, const char *key, size_t n) {
  char text[24];
  snprintf(text, sizeof text, "%zu", n);
  return cmsIT8SetPropertyUncooked(it8, key, text);
}

static bool begin_table(cmsHANDLE it8, const source *from, size_t n) {
  bool done = cmsIT8SetSheetType(it8, "CGATS.17") && cmsIT8SetPropertyStr(it8, "ORIGINATOR", "Dropwise") &&
              cmsIT8SetPropertyStr(it8, "DESCRIPTOR", from->title) &&
              set_count(it8, "NUMBER_OF_FIELDS", FIELDS) && set_count(it8, "NUMBER_OF_SETS", n);
  for (int i = 0; i < FIELDS && done; i++) done = cmsIT8SetDataFormat(it8, i, fields[i]);
  return done;
}

static bool put_rows(cmsHANDLE it8, const source *from, const color_row *rows, size_t n) {
  bool done = begin_table(it8, from, n);
  for (size_t r = 0; r < n && done; r++) {
    char id[32];
    snprintf(id, sizeof id, "%s%lld", from->prefix, (long long)rows[r].id);
    done = cmsIT8SetDataRowCol(it8, (int)r, 0, id) && cmsIT8SetDataRowCol(it8, (int)r, 1, rows[r].name);
    for (int c = 0; c < 4 && done; c++) done = cmsIT8SetDataRowColDbl(it8, (int)r, c + 2, rows[r].value[c]);
  }
  return done;
}

/* In as many tables as it takes; *table is the number of the next one. */
static dw_status put_source(dw_book *book, cmsHANDLE it8, const source *from, cmsUInt32Number *table,
                            dw_error *err) {
  color_row *rows = NULL;
  size_t n = 0;
  dw_status status = dw__book_list(book, sizeof(color_row), row_from_query, &rows, &n, err, from->sql,
                                   from->types, (int64_t)DW_BAIT_ELSEWHERE, (int64_t)DW_BAIT_DRIZZLED);
  for (size_t at = 0; at < n && status == DW_OK; at += SETS_MAX) {
    size_t count = n - at < SETS_MAX ? n - at : SETS_MAX;
    if (cmsIT8SetTable(it8, *table) < 0 || !put_rows(it8, from, rows + at, count))
      status = dw_fail_memory(err, "the CGATS text");
    ++*table;
  }
  free(rows);
  return status;
}

static dw_status save(cmsHANDLE it8, char **out, size_t *n, dw_error *err) {
  cmsUInt32Number size = 0;
  char *text = NULL;
  if (cmsIT8SaveToMem(it8, NULL, &size)) text = malloc((size_t)size + 1);
  if (!text || !cmsIT8SaveToMem(it8, text, &size)) {
    free(text);
    return dw_fail_memory(err, "the CGATS text");
  }
  while (size > 0 && text[size - 1] == '\0') size--; /* the size counts the end mark */
  text[size] = '\0';
  *out = text;
  *n = size;
  return DW_OK;
}

dw_status dw_book_export_cgats(dw_book *book, char **out, size_t *n, dw_error *err) {
  cmsContext context = cmsCreateContext(NULL, NULL);
  cmsHANDLE it8 = context ? cmsIT8Alloc(context) : NULL;
  cmsUInt32Number table = 0;
  dw_status status = it8 ? DW_OK : dw_fail_memory(err, "the CGATS text");
  if (it8) cmsIT8DefineDblFormat(it8, "%.6f");
  for (size_t i = 0; i < sizeof sources / sizeof *sources && status == DW_OK; i++)
    status = put_source(book, it8, &sources[i], &table, err);
  if (status == DW_OK && table == 0)
    status = dw_fail(err, DW_TOO_FEW, "The book holds no color yet: no target, no tone, no reading.");
  if (status == DW_OK) status = save(it8, out, n, err);
  if (it8) cmsIT8Free(it8);
  if (context) cmsDeleteContext(context);
  return status;
}
