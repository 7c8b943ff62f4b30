#include "book/entries.h"

#include <string.h>

/* A run begins with one of the first eleven; 15 ends it.  A # is itself packed, so that one in the text is
 * told from a run's place. */
static const char packable[] = "#0123456789.,-";
enum { FIRST_MAX = 11, RUN_END = 15 };

static int code_of(char c) {
  const char *at = c ? strchr(packable, c) : NULL;
  return at ? (int)(at - packable) : -1;
}

static bool begins_run(char c) {
  int code = code_of(c);
  return code >= 0 && code < FIRST_MAX;
}

/* ---- packed -------------------------------------------------------------------------------------------- */

/* Two codes a byte. */
typedef struct runs {
  dw_text bytes;
  int half; /* -1: none waits for its other */
} runs;

static void put_code(runs *to, int code) {
  if (to->half < 0) {
    to->half = code;
    return;
  }
  char byte = (char)(unsigned char)(to->half << 4 | code);
  dw_text_put(&to->bytes, &byte, 1);
  to->half = -1;
}

static void pack(const char *text, dw_text *shape, runs *to) {
  while (*text) {
    bool run = begins_run(*text);
    dw_text_put(shape, run ? "#" : text, 1);
    if (!run) text++;
    for (; run && code_of(*text) >= 0; text++) put_code(to, code_of(*text));
    if (run) put_code(to, RUN_END);
  }
}

/* Only ids of rows, no values of theirs. */
static bool record_shared(const char *record) {
  return strncmp(record, "{\"made\":", 8) == 0 && !strstr(record, "\"were\":") &&
         !strstr(record, "\"gone\":");
}

static const char *text_of(const dw_text *text) {
  return text->data ? text->data : "";
}

static dw_status write_packed(dw_book *book, const dw__entry_text *entry, const dw_text *words,
                              const dw_text *record, const dw_text *numbers, dw_error *err) {
  static const char share[] = "INSERT OR IGNORE INTO phrase (door, kind, words, record) VALUES (?, ?, ?, ?)";
  static const char write[] =
      "INSERT INTO entry (id, made, phrase, numbers, pattern, batch, state, record) VALUES (?, unixepoch(?),"
      " (SELECT id FROM phrase WHERE door = ? AND kind = ? AND words = ? AND record = ?), ?, ?, ?, ?, ?)";
  dw_status status =
      dw__book_run(book, NULL, err, share, "tttt", entry->door, entry->kind, text_of(words), text_of(record));
  if (status != DW_OK) return status;
  return dw__book_run(book, NULL, err, write, "rtttttbrrit", entry->id, entry->made, entry->door, entry->kind,
                      text_of(words), text_of(record), text_of(numbers), numbers->length, entry->pattern,
                      entry->batch, entry->state, record_shared(entry->record) ? NULL : entry->record);
}

dw_status dw__entry_write(dw_book *book, const dw__entry_text *entry, dw_error *err) {
  dw_text words = {0}, record = {0};
  runs numbers = {.half = -1};
  pack(entry->words, &words, &numbers);
  if (record_shared(entry->record)) pack(entry->record, &record, &numbers);
  if (numbers.half >= 0) put_code(&numbers, RUN_END);
  dw_status status = words.failed || record.failed || numbers.bytes.failed
                         ? dw_fail_memory(err, "the journal")
                         : write_packed(book, entry, &words, &record, &numbers.bytes, err);
  dw_text_free(&words);
  dw_text_free(&record);
  dw_text_free(&numbers.bytes);
  return status;
}

/* ---- read ---------------------------------------------------------------------------------------------- */

typedef struct reading {
  const unsigned char *bytes;
  size_t codes, at;
} reading;

static reading reading_of(sqlite3_value *blob) {
  const unsigned char *bytes = sqlite3_value_blob(blob);
  return (reading){bytes, bytes ? 2 * (size_t)sqlite3_value_bytes(blob) : 0, 0};
}

/* The next run, into out unless that is NULL; false: there is none, or it is damaged. */
static bool take_run(reading *from, dw_text *out) {
  char run[64];
  size_t n = 0;
  while (from->at < from->codes) {
    unsigned code = from->bytes[from->at / 2];
    code = from->at++ % 2 ? code & 15 : code >> 4;
    bool end = code == RUN_END;
    if (!end && code >= sizeof packable - 1) return false;
    if (!end) run[n++] = packable[code];
    if (out && (end || n == sizeof run)) dw_text_put(out, run, n);
    if (end) return true;
    if (n == sizeof run) n = 0;
  }
  return false;
}

/* The shape with its runs in their places; out NULL passes over them. */
static bool unpack(const char *shape, reading *from, dw_text *out) {
  while (true) {
    size_t n = strcspn(shape, "#");
    if (out) dw_text_put(out, shape, n);
    shape += n;
    if (*shape == '\0') return true;
    if (!take_run(from, out)) return false;
    shape++;
  }
}

static void give(sqlite3_context *to, bool whole, dw_text *text) {
  if (text->failed)
    sqlite3_result_error_nomem(to);
  else if (whole)
    sqlite3_result_text(to, text_of(text), (int)text->length, SQLITE_TRANSIENT);
  dw_text_free(text);
}

/* entry_words(words, numbers), entry_record(words, record, numbers): the runs of the words come first. */
static void entry_text(sqlite3_context *to, int n, sqlite3_value **value) {
  dw_text out = {0};
  reading from = reading_of(value[n - 1]);
  bool whole = true;
  for (int i = 0; i < n - 1 && whole; i++) {
    const char *shape = (const char *)sqlite3_value_text(value[i]);
    if (!shape && sqlite3_value_type(value[i]) != SQLITE_NULL) out.failed = true;
    whole = shape && unpack(shape, &from, i == n - 2 ? &out : NULL);
  }
  give(to, whole, &out);
}

int dw__entries_connect(sqlite3 *db) {
  enum { HOW = SQLITE_UTF8 | SQLITE_DETERMINISTIC | SQLITE_DIRECTONLY };
  int result = sqlite3_create_function(db, "entry_words", 2, HOW, NULL, entry_text, NULL, NULL);
  if (result != SQLITE_OK) return result;
  return sqlite3_create_function(db, "entry_record", 3, HOW, NULL, entry_text, NULL, NULL);
}

/* ---- from books and exports that had them unpacked ----------------------------------------------------- */

static dw_status take(const dw__query *query, dw_book *book, dw_error *err) {
  char door[16], kind[16], made[DW_TIME_ROOM];
  dw__query_copy(query, 1, made, sizeof made);
  dw__query_copy(query, 2, door, sizeof door);
  dw__query_copy(query, 3, kind, sizeof kind);
  const dw__entry_text entry = {.id = dw__query_integer(query, 0),
                                .made = made,
                                .door = door,
                                .kind = kind,
                                .words = (const char *)sqlite3_column_text(query->stmt, 4),
                                .record = (const char *)sqlite3_column_text(query->stmt, 8),
                                .pattern = dw__query_integer(query, 5),
                                .batch = dw__query_integer(query, 6),
                                .state = dw__query_integer(query, 7)};
  if (!entry.words || !entry.record) return dw_fail_memory(err, "the journal");
  return dw__entry_write(book, &entry, err);
}

dw_status dw__entries_take(dw_book *book, bool works_moved, dw_error *err) {
  static const char sql[] =
      "SELECT id, made, door, kind, words, pattern, batch, state, CASE WHEN ? OR id <="
      " (SELECT max(id) FROM entry_text WHERE instr(record, '\"work\":') OR instr(record, '\"work_past\":')"
      " OR instr(record, '\"past_row\":')) THEN '{}' ELSE record END FROM entry_text ORDER BY id";
  dw__query query;
  bool row = true;
  dw_status status = dw__query_open(book, sql, &query, err, "i", (int64_t)works_moved);
  while (status == DW_OK && (status = dw__query_next(&query, &row, err)) == DW_OK && row)
    status = take(&query, book, err);
  dw__query_close(&query);
  return status;
}
