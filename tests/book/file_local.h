/* What the tests of the book's file share: files, children, older books. */
#ifndef DROPWISE_TESTS_FILE_LOCAL_H
#define DROPWISE_TESTS_FILE_LOCAL_H

#include "book/schema.h"
#include "book_local.h"
#include "dropwise/book_bench.h"

#include <fcntl.h>
#include <signal.h>
#include <sqlite3.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>

static inline void nap_ms(long ms) {
  nanosleep(&(struct timespec){ms / 1000, (ms % 1000) * 1000000}, NULL);
}

static inline void file_put(const char *path, const void *bytes, size_t n) {
  FILE *file = fopen(path, "wb");
  assert_non_null(file);
  assert_int_equal(fwrite(bytes, 1, n, file), n);
  fclose(file);
}

static inline bool file_there(const char *path) {
  return access(path, F_OK) == 0;
}

static inline void raw_run(const char *path, const char *sql) {
  sqlite3 *db = NULL;
  char *why = NULL;
  assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
  if (sqlite3_exec(db, sql, NULL, NULL, &why) != SQLITE_OK) fail_msg("%s", why);
  sqlite3_close(db);
}

/* What a child may say: its exit code. */
static inline int child_result(pid_t child) {
  int status = 0;
  assert_int_equal(waitpid(child, &status, 0), child);
  return WIFEXITED(status) ? WEXITSTATUS(status) : 100;
}

static inline size_t batches_of(const char *path, int64_t pattern) {
  dw_error err;
  dw_book *book = NULL;
  dw_batch *list = NULL;
  size_t n = 0;
  expect(dw_book_open(path, DW_BOOK_READ, &book, &err), DW_OK, err);
  expect_whole(book);
  expect(dw_batch_list(book, pattern, &list, &n, &err), DW_OK, err);
  free(list);
  dw_book_close(book);
  return n;
}

/* One batch in a transaction of its own. */
static inline dw_status batch_log(dw_book *book, int64_t pattern, dw_error *err) {
  int64_t id;
  dw_status status = dw_book_begin(book, err);
  if (status == DW_OK) status = dw_batch_begin(book, pattern, NULL, NULL, &id, err);
  if (status == DW_OK) status = dw_book_commit(book, err);
  dw_book_rollback(book);
  return status;
}

/* ---- older books --------------------------------------------------------------------------------------- */

/* A row or two that each version can hold. */
static const char *const old_rows[] = {
    "INSERT INTO pattern (id, name, created) VALUES (5, 'old one', '2026-01-01T00:00:00Z');"
    "INSERT INTO layer (id, pattern, position, name) VALUES (7, 5, 0, 'back');"
    "INSERT INTO target (layer, l, a, b, how, created) VALUES (7, 40, 10, 20, 'numbers', "
    "'2026-01-01T00:00:00Z');"
    "INSERT INTO tone (id, name, created) VALUES (1, 'claw', '2026-01-01T00:00:00Z');"
    "INSERT INTO tone_color (tone, l, a, b) VALUES (1, 40, 10, 20);",
    "INSERT INTO bottle (id, slug, title, role, drop_ml) VALUES (1, 'orange', 'Orange', 'color', 0.05);"
    "INSERT INTO lot (id, bottle, name, opened) VALUES (1, 1, 'first', '2026-01-01T00:00:00Z');"
    "INSERT INTO chip (id, thickness_mm, backing, l, a, b, added) VALUES (1, 3, 0.04, 20, 1, 1, "
    "'2026-01-01T00:00:00Z');"
    "INSERT INTO chip_part (chip, lot, loading) VALUES (1, 1, 2);",
    "INSERT INTO batch (id, pattern, name, poured) VALUES (3, 5, '1', '2026-01-02T00:00:00Z');"
    "INSERT INTO cup (id, batch, layer, volume_floz, capacity_floz) VALUES (1, 3, 7, 4, 5);"
    "INSERT INTO addition (cup, position, lot, drops, added) VALUES (1, 0, 1, 12, '2026-01-02T00:00:00Z');"
    "INSERT INTO pour (id, cup, additions, thickness_mm, backing, poured) VALUES (1, 1, 1, 10, 0.2, "
    "'2026-01-02T00:00:00Z');"
    "INSERT INTO reading (batch, layer, pour, l, a, b, taken) VALUES (3, 7, 1, 41, 11, 21, "
    "'2026-01-02T00:00:00Z');",
    "INSERT INTO work (id, name, pattern, batch, cups, updated) VALUES (2, 'old work', 5, 3, '[1]',"
    " '2026-01-03T00:00:00Z');"
    "INSERT INTO work_past (work, name, marks, cups, slab) VALUES (2, 'old work', '{}', '[]', '{}');",
    "INSERT INTO past_row (past, batch, good, note) VALUES (1, 3, 0, '');",
    "UPDATE clock SET tick = 5;"
    "INSERT INTO entry (made, door, kind, words, pattern, batch, state, record) VALUES "
    "('2026-01-04T00:00:00Z', 'page',"
    " 'pattern', 'old one #7 given a note, 12.5 long', 5, NULL, 0,"
    " '{\"were\":{\"pattern\":[{\"id\":5,\"note\":\"before\"}]}}');",
    "INSERT INTO bench (name, pattern, updated) VALUES ('old bench', 5, '2026-01-05T00:00:00Z');",
    "INSERT INTO setting (name, value) VALUES ('volume', '3floz');",
    "INSERT INTO mold (name, cavities, bait_ml, runner_ml, sprue, back) VALUES ('old mold', 2, 8, 1, "
    "'toward', "
    "'left');",
    "UPDATE bottle SET look = 'orange' WHERE slug = 'orange';",
    "UPDATE clock SET tick = 6;",
    "UPDATE clock SET tick = 7;",
    "UPDATE clock SET tick = 8;",
    "UPDATE clock SET tick = 9;",
    "UPDATE clock SET tick = 10;",
};

static inline void make_old(const char *path, int version) {
  char marks[96];
  for (int i = 0; i < version; i++) {
    raw_run(path, dw__book_steps[i]);
    raw_run(path, old_rows[i]);
  }
  snprintf(marks, sizeof marks, "PRAGMA user_version = %d; PRAGMA application_id = %d", version,
           DW__BOOK_APPLICATION_ID);
  raw_run(path, marks);
}

/* Its entry says what it said, and can be taken back, unless works' cups became rows since: what they hold
 * now is no entry's. */
static inline void expect_old_entry(dw_book *book, int version) {
  dw_error err;
  dw_entry entry;
  dw_pattern pattern;
  expect(dw_entry_to_undo(book, &entry, &err), DW_OK, err);
  assert_string_equal(entry.words, "old one #7 given a note, 12.5 long");
  assert_string_equal(entry.made, "2026-01-04T00:00:00Z");
  assert_true(entry.door == DW_DOOR_PAGE && entry.kind == DW_ENTRY_PATTERN && entry.pattern == 5 &&
              !entry.batch);
  expect(dw_book_undo(book, 0, NULL, &err), version == 6 ? DW_REFUSED : DW_OK, err);
  expect(dw_pattern_get(book, 5, &pattern, &err), DW_OK, err);
  assert_string_equal(pattern.note, version == 6 ? "" : "before");
  if (version > 6) expect(dw_book_redo(book, 0, NULL, &err), DW_OK, err);
  expect_whole(book);
}

/* What the older book held is there, in the newer one. */
static inline void expect_old_rows(dw_book *book, int version) {
  dw_error err;
  dw_pattern pattern;
  expect_whole(book);
  expect(dw_pattern_find(book, "old one", &pattern, &err), DW_OK, err);
  assert_near(pattern.layer[0].target.b, 20, 0);
  if (version >= 2) {
    dw_book_bottle bottle;
    expect(dw_book_bottle_find(book, "orange", &bottle, &err), DW_OK, err);
    assert_int_equal(bottle.chips, 1);
  }
  if (version >= 3) {
    dw_layer_history history;
    expect(dw_layer_history_load(book, 7, &history, &err), DW_OK, err);
    assert_int_equal(history.n, 1);
    assert_near(history.color[0].lab.L, 41, 0);
    dw_layer_history_free(&history);
  }
  if (version >= 4 && version < DW__BOOK_BENCH_STEP) {
    dw_book_bench bench;
    expect(dw_book_bench_get(book, 2, &bench, &err), DW_OK, err);
    assert_string_equal(bench.name, "old work");
    assert_int_equal(bench.batch, 3);
    dw_book_bench_free(&bench);
  }
  if (version >= 6 && version < DW__BOOK_PHRASES_STEP) expect_old_entry(book, version);
}

#endif
