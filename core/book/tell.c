/* What an entry says. */
#include "book/journal.h"
#include "book/sql.h"

#include <stdarg.h>
#include <string.h>

/* Kinds that are only named where nothing else was done. */
static bool minor(dw_entry_kind kind) {
  return kind >= DW_ENTRY_BATCH;
}

/* More words; what has no room ends in "..." between two characters. */
static void put(char *words, const char *before, const char *more) {
  static const char rest[] = "...";
  size_t used = strlen(words), room = DW_ENTRY_WORDS_ROOM - used;
  if (used >= DW_ENTRY_WORDS_ROOM - sizeof rest) return;
  int n = snprintf(words + used, room, "%s%s", before, more);
  if (n < (int)room) return;
  size_t cut = DW_ENTRY_WORDS_ROOM - sizeof rest;
  while (cut > 0 && ((unsigned char)words[cut] & 0xC0) == 0x80) cut--;
  memcpy(words + cut, rest, sizeof rest);
}

static void say_again(dw__draft *draft) {
  draft->words[0] = draft->place[0] = '\0';
  draft->pattern = draft->batch = 0;
}

static void add_part(dw__draft *draft, const char *place, const char *what) {
  if (!draft->words[0]) {
    put(draft->words, "", what);
  } else if (strcmp(draft->place, place) == 0) {
    put(draft->words, ", ", what);
  } else {
    if (draft->place[0]) put(draft->words, " ", draft->place);
    put(draft->words, "; ", what);
  }
  dw_copy_text(draft->place, sizeof draft->place, place);
}

void dw__tell(dw_book *book, dw_entry_kind kind, int64_t pattern, int64_t batch, const char *place,
              const char *format, ...) {
  dw__draft *draft = &book->draft;
  char what[DW_ENTRY_WORDS_ROOM];
  bool first = draft->kind == DW_ENTRY_KIND_COUNT;
  if (!draft->watched || draft->named) return;
  if (!first && minor(kind)) return;
  if (!first && minor(draft->kind)) say_again(draft);
  va_list values;
  va_start(values, format);
  vsnprintf(what, sizeof what, format, values);
  va_end(values);
  add_part(draft, place, what);
  if (kind < draft->kind) draft->kind = kind;
  if (pattern) draft->pattern = pattern;
  if (batch) draft->batch = batch;
}

void dw_book_entry_say(dw_book *book, dw_entry_kind kind, int64_t pattern, int64_t batch, const char *format,
                       ...) {
  dw__draft *draft = &book->draft;
  char words[DW_ENTRY_WORDS_ROOM];
  if (!draft->watched || (kind == DW_ENTRY_OTHER && draft->kind < DW_ENTRY_OTHER)) return;
  va_list values;
  va_start(values, format);
  vsnprintf(words, sizeof words, format, values);
  va_end(values);
  say_again(draft);
  put(draft->words, "", words);
  draft->kind = kind;
  draft->named = true;
  draft->pattern = pattern;
  draft->batch = batch;
}

/* ---- where --------------------------------------------------------------------------------------------- */

static dw_status where_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw__where *out = element;
  out->pattern = dw__query_integer(query, 0);
  dw__query_copy(query, 1, out->pattern_name, sizeof out->pattern_name);
  out->batch = dw__query_integer(query, 2);
  dw__query_copy(query, 3, out->batch_name, sizeof out->batch_name);
  dw__query_copy(query, 4, out->layer, sizeof out->layer);
  return DW_OK;
}

static dw_status find_where(dw_book *book, const char *sql, int64_t id, dw__where *out, dw_error *err) {
  *out = (dw__where){0};
  dw_error missing = {0};
  dw_status status = dw__book_row(book, where_from_row, out, "", &missing, sql, "i", id);
  return status == DW_OK || status == DW_NOT_FOUND ? DW_OK : dw_fail(err, status, "%s", missing.text);
}

dw_status dw__where_pattern(dw_book *book, int64_t pattern, dw__where *out, dw_error *err) {
  return find_where(book, "SELECT id, name, NULL, '', '' FROM pattern WHERE id = ?", pattern, out, err);
}

dw_status dw__where_layer(dw_book *book, int64_t layer, dw__where *out, dw_error *err) {
  return find_where(book,
                    "SELECT p.id, p.name, NULL, '', l.name FROM layer l JOIN pattern p ON p.id = l.pattern"
                    " WHERE l.id = ?",
                    layer, out, err);
}

dw_status dw__where_batch(dw_book *book, int64_t batch, dw__where *out, dw_error *err) {
  return find_where(book,
                    "SELECT p.id, p.name, b.id, b.name, '' FROM batch b JOIN pattern p ON p.id = b.pattern"
                    " WHERE b.id = ?",
                    batch, out, err);
}

dw_status dw__where_cup(dw_book *book, int64_t cup, dw__where *out, dw_error *err) {
  return find_where(book,
                    "SELECT p.id, p.name, b.id, b.name, l.name FROM cup c JOIN batch b ON b.id = c.batch"
                    " JOIN pattern p ON p.id = b.pattern JOIN layer l ON l.id = c.layer WHERE c.id = ?",
                    cup, out, err);
}

void dw__where_words(const dw__where *where, const char *before, char out[DW__PLACE_ROOM]) {
  const char *of = "";
  size_t used = (size_t)snprintf(out, DW__PLACE_ROOM, "%s", before);
  if (where->layer[0]) {
    used += (size_t)snprintf(out + used, DW__PLACE_ROOM - used, " the %.60s", where->layer);
    of = " of";
  }
  if (where->batch_name[0]) {
    used += (size_t)snprintf(out + used, DW__PLACE_ROOM - used, "%s batch %.60s", of, where->batch_name);
    of = " of";
  }
  if (where->pattern_name[0])
    snprintf(out + used, DW__PLACE_ROOM - used, "%s %.60s", of, where->pattern_name);
}

dw_status dw__next_id(dw_book *book, const char *table, int64_t *out, dw_error *err) {
  char sql[160];
  snprintf(sql, sizeof sql,
           "UPDATE clock SET %s = 1 + max(%s, (SELECT coalesce(max(id), 0) FROM %s)) RETURNING %s", table,
           table, table, table);
  return dw__book_integer(book, out, "The book's clock is missing; run dropwise book check.", err, sql, "");
}
