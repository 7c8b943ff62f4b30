#include "books.h"

#include "book/sql.h"

#include <stdlib.h>

const char *fuzz_place(int slot, const char *name) {
  static char path[4][256];
  snprintf(path[slot], sizeof path[slot], "%s/%s", fuzz_folder(), name);
  return path[slot];
}

dw_book *fuzz_book_empty(const char *name) {
  dw_book *book = NULL;
  dw_error err;
  if (dw_book_open(fuzz_place(3, name), DW_BOOK_WRITE, &book, &err) != DW_OK) promise(false, err.text);
  return book;
}

dw_book *fuzz_book_filled(const char *name) {
  dw_book *book = fuzz_book_empty(name);
  dw_book_imported done;
  dw_error err;
  char *text = NULL;
  size_t n = 0;
  dw_status status =
      dw_file_read(DW_SOURCE_DIR "/tests/fuzz/seeds/import/whole.json", 1 << 20, &text, &n, &err);
  if (status == DW_OK) status = dw_book_begin(book, &err);
  if (status == DW_OK) status = dw_book_import(book, text, n, "the seed", &done, &err);
  if (status == DW_OK) status = dw_book_commit(book, &err);
  if (status != DW_OK) promise(false, err.text);
  free(text);
  return book;
}

/* ---- the same book again and again ---------------------------------------------------------------------- */

static sqlite3 *kept;
static int changes;

static void copy(sqlite3 *to, sqlite3 *from) {
  sqlite3_backup *copying = sqlite3_backup_init(to, "main", from, "main");
  promise(copying && sqlite3_backup_step(copying, -1) == SQLITE_DONE, "a book is copied");
  sqlite3_backup_finish(copying);
}

void fuzz_book_keep(dw_book *book) {
  promise(sqlite3_open(":memory:", &kept) == SQLITE_OK, "memory");
  copy(kept, book->db);
  changes = sqlite3_total_changes(book->db);
}

void fuzz_book_again(dw_book *book) {
  if (sqlite3_total_changes(book->db) == changes) return;
  copy(book->db, kept);
  changes = sqlite3_total_changes(book->db);
}

void fuzz_book_forget(void) {
  sqlite3_close(kept);
}

bool fuzz_book_in_transaction(const dw_book *book) {
  return book->in_transaction;
}
