/* A book that another program wrote to. The input is what it did, a line each: SQL, or bytes put into the file,
 * @PAGE:OFFSET:HEX. Then everything that reads a book reads it: each gives an answer or a refusal, and what passes the
 * check can be exported. */
#include "books.h"

#include "dropwise/book_aims.h"
#include "dropwise/book_journal.h"

#include <fcntl.h>
#include <sqlite3.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { WORK_MAX = 20, WORK_STEP = 10000, LINES_MAX = 40 };

/* ---- the other program ---------------------------------------------------------------------------------- */

static int worked;
static int goes_on(void *context) {
  (void)context;
  return ++worked > WORK_MAX;
}

/* No other file is touched. */
static int allow(void *context, int action, const char *a, const char *b, const char *c, const char *d) {
  (void)context, (void)b, (void)c, (void)d;
  if (action == SQLITE_PRAGMA && a && (strstr(a, "directory") || strstr(a, "mmap"))) return SQLITE_DENY;
  return action == SQLITE_ATTACH || action == SQLITE_DETACH ? SQLITE_DENY : SQLITE_OK;
}

static sqlite3 *connect(const char *path) {
  sqlite3 *db = NULL;
  promise(sqlite3_open(path, &db) == SQLITE_OK, "the copy opens");
  sqlite3_db_config(db, SQLITE_DBCONFIG_DEFENSIVE, 0, NULL);
  sqlite3_exec(db, "PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF; PRAGMA writable_schema = ON;", NULL,
               NULL, NULL);
  sqlite3_limit(db, SQLITE_LIMIT_LENGTH, 100000);
  sqlite3_progress_handler(db, WORK_STEP, goes_on, NULL);
  sqlite3_set_authorizer(db, allow, NULL);
  return db;
}

static void put_bytes(const char *path, const char *line) {
  unsigned page, offset, byte;
  int used = 0, fd = open(path, O_RDWR | O_CLOEXEC);
  if (fd >= 0 && sscanf(line, "@%4u:%4u:%n", &page, &offset, &used) == 2 && used)
    for (line += used; page >= 1 && page <= 500 && sscanf(line, "%2x", &byte) == 1; line += 2, offset++) {
      uint8_t put = (uint8_t)byte;
      if (pwrite(fd, &put, 1, (off_t)(page - 1) * 4096 + offset) != 1 || !line[1]) break;
    }
  if (fd >= 0) close(fd);
}

static void write_to(const char *path, char *text) {
  sqlite3 *db = connect(path);
  char *line, *rest = text;
  worked = 0;
  for (int i = 0; i < LINES_MAX && (line = strsep(&rest, "\n")); i++)
    if (*line != '@') sqlite3_exec(db, line, NULL, NULL, NULL);
  sqlite3_close(db);
}

static void patch(const char *path, char *text) {
  char *line, *rest = text;
  for (int i = 0; i < LINES_MAX && (line = strsep(&rest, "\n")); i++)
    if (*line == '@') put_bytes(path, line);
}

/* ---- Dropwise ------------------------------------------------------------------------------------------- */

static void read_all(dw_book *book) {
  dw_pattern *patterns = NULL;
  dw_tone *tones = NULL;
  dw_entry *entries = NULL;
  dw_text found = {0};
  char *bytes = NULL;
  size_t n;
  dw_error err;
  promised(dw_pattern_list(book, &patterns, &n, &err), &err);
  promised(dw_tone_list(book, &tones, &n, &err), &err);
  promised(dw_entry_list(book, 0, 0, &entries, &n, &err), &err);
  bool whole = promised(dw_book_check(book, &found, &err), &err);
  bool written = promised(dw_book_export(book, DW_EXPORT_ALL, &bytes, &n, &err), &err);
  promise(written || !whole, "a whole book can be exported");
  free(patterns);
  free(tones);
  free(entries);
  free(bytes);
  dw_text_free(&found);
}

static void change_one(dw_book *book) {
  dw_error err;
  promised(dw_book_undo(book, 0, NULL, &err), &err);
  promised(dw_book_redo(book, 0, NULL, &err), &err);
}

static void sweep(const char *path) {
  static const char *const more[] = {"", "-wal", "-shm", "-journal"};
  char name[300];
  for (size_t i = 0; i < sizeof more / sizeof *more; i++) {
    snprintf(name, sizeof name, "%s%s", path, more[i]);
    unlink(name);
  }
}

static char *fresh;
static size_t fresh_n;

static void make_fresh(void) {
  dw_book *book = fuzz_book_filled("fresh.db");
  dw_error err;
  if (dw_book_backup(book, fuzz_place(0, "copy.db"), &err) != DW_OK) promise(false, err.text);
  dw_book_close(book);
  if (dw_file_read(fuzz_place(0, "copy.db"), 8 << 20, &fresh, &fresh_n, &err) != DW_OK)
    promise(false, err.text);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n) {
  char *text = fuzz_text(bytes, n), *again = fuzz_text(bytes, n);
  dw_book *book = NULL;
  dw_error err;
  if (!fresh) make_fresh();
  const char *path = fuzz_place(1, "book.db");
  FILE *file = fopen(path, "wb");
  promise(file && fwrite(fresh, 1, fresh_n, file) == fresh_n && fclose(file) == 0, "a copy");
  write_to(path, text);
  patch(path, again);
  if (promised(dw_book_open(path, DW_BOOK_READ, &book, &err), &err)) read_all(book);
  dw_book_close(book);
  book = NULL;
  if (promised(dw_book_open(path, DW_BOOK_WRITE, &book, &err), &err)) change_one(book);
  dw_book_close(book);
  sweep(path);
  free(text);
  free(again);
  return 0;
}
