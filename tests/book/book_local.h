/* A book of its own for every test, and the little that fills it. */
#ifndef DROPWISE_TESTS_BOOK_LOCAL_H
#define DROPWISE_TESTS_BOOK_LOCAL_H

#include "check.h"
#include "dropwise/book_aims.h"
#include "dropwise/book_bottles.h"
#include "dropwise/book_pours.h"

#include <dirent.h>
#include <stdio.h>
#include <unistd.h>

typedef struct shop {
  char folder[64], path[96];
  dw_book *book;
} shop;

/* Fails with the sentence when the status is not the one expected. */
#define expect(status, expected, err) expect_status((status), (expected), &(err), __FILE__, __LINE__)

static inline void expect_status(dw_status got, dw_status wanted, const dw_error *err, const char *file,
                                 int line) {
  if (got == wanted) return;
  print_error("%s instead of %s: %s\n", dw_status_name(got), dw_status_name(wanted),
              got == DW_OK ? "" : err->text);
  _fail(file, line);
}

static inline int shop_open(void **state) {
  dw_error err;
  shop *s = calloc(1, sizeof *s);
  strcpy(s->folder, "/tmp/dropwise-book-XXXXXX");
  if (!mkdtemp(s->folder)) return -1;
  snprintf(s->path, sizeof s->path, "%s/book.db", s->folder);
  *state = s;
  if (dw_book_open(s->path, DW_BOOK_WRITE, &s->book, &err) == DW_OK) return 0;
  print_error("%s\n", err.text);
  return -1;
}

static inline int shop_close(void **state) {
  shop *s = *state;
  dw_book_close(s->book);
  DIR *dir = opendir(s->folder);
  for (struct dirent *entry; dir && (entry = readdir(dir));) {
    char path[400];
    snprintf(path, sizeof path, "%s/%s", s->folder, entry->d_name);
    unlink(path);
  }
  if (dir) closedir(dir);
  int result = rmdir(s->folder);
  free(s);
  return result;
}

#define book_test(f) cmocka_unit_test_setup_teardown(f, shop_open, shop_close)

/* A pattern of three layers, back, middle and belly, in a transaction of its own; returns its id. */
static inline int64_t pattern_make(dw_book *book, const char *name) {
  static const char *const layers[] = {"back", "middle", "belly"};
  dw_error err;
  int64_t id = 0;
  expect(dw_book_begin(book, &err), DW_OK, err);
  expect(dw_pattern_add(book, name, "", layers, 3, &id, &err), DW_OK, err);
  expect(dw_book_commit(book, &err), DW_OK, err);
  return id;
}

/* The book finds nothing wrong with itself. */
static inline void expect_whole(dw_book *book) {
  dw_error err;
  dw_text found = {0};
  dw_status status = dw_book_check(book, &found, &err);
  if (found.length) print_error("%s", found.data);
  expect(status, DW_OK, err);
  dw_text_free(&found);
}

/* Does `call` in a transaction of its own and expects it to succeed. */
#define in_change(book, call)                                                                                \
  do {                                                                                                       \
    expect(dw_book_begin((book), &err), DW_OK, err);                                                         \
    expect((call), DW_OK, err);                                                                              \
    expect(dw_book_commit((book), &err), DW_OK, err);                                                        \
  } while (0)

#endif
