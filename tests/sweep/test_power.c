/* The power fails at random moments: what was acknowledged is there afterwards, and the book is whole.
 *
 * Use: test_power LOSSES
 * LOSSES  how many of each kind of work */
#include "book/file_local.h"
#include "book/pouring.h"
#include "disk.h"
#include "scratch.h"

#include "dropwise/book_settings.h"

enum { HELD_MAX = 64, ACKS_MAX = 1 << 16 };

/* A loss that waits to be looked at: the folder as it was found, and what had been acknowledged. */
typedef struct loss {
  char folder[100];
  long acknowledged;
} loss;

typedef struct session {
  char folder[80], path[96]; /* that is worked in, its book */
  dw_random random;
  long wanted, losses, acknowledged; /* of the kind of work at hand */
  double gap;                        /* changes from one loss to the next, in the mean */
  loss held[HELD_MAX];
  int n_held;
} session;

static long wanted = 50;
static char root[SCRATCH_ROOM];

static void folder_make(const char *path) {
  assert_int_equal(mkdir(path, 0700), 0);
}

static void folder_remove(const char *path) {
  assert_int_equal(scratch_remove(path), 0);
}

static void lose(void *context);

static void plan_loss(session *s) {
  long gap = 1 + (long)(2 * s->gap * dw_random_uniform(&s->random));
  disk_at(disk_changes() + gap, lose, s);
}

/* The folder is made by a call that the disk does not take over. */
static void lose(void *context) {
  session *s = context;
  if (s->n_held < HELD_MAX && s->losses < s->wanted) {
    loss *l = &s->held[s->n_held++];
    snprintf(l->folder, sizeof l->folder, "%.60s/loss-%ld", root, s->losses++);
    l->acknowledged = s->acknowledged;
    if (mkdir(l->folder, 0700)) abort();
    disk_lose(&s->random, l->folder);
  }
  plan_loss(s);
}

/* Looks at what was lost so far, at a moment when nothing is under way. */
static void look(session *s, void (*judge)(const session *s, const loss *l)) {
  for (int i = 0; i < s->n_held; i++) {
    judge(s, &s->held[i]);
    folder_remove(s->held[i].folder);
  }
  s->n_held = 0;
}

static const char *in(const loss *l, const char *name) {
  static char path[2][128];
  static int turn;
  turn = !turn;
  snprintf(path[turn], sizeof path[turn], "%s/%s", l->folder, name);
  return path[turn];
}

/* A work of its own folder; prepare is safe on the disk before the power may fail. */
static void run(session *s, double gap, void (*prepare)(session *s), void (*work)(session *s),
                void (*judge)(const session *s, const loss *l)) {
  *s = (session){.random = dw_random_seed(20260502), .gap = gap, .wanted = wanted};
  assert_true(scratch_make(root, "power"));
  while (s->losses < s->wanted) {
    snprintf(s->folder, sizeof s->folder, "%s/work", root);
    snprintf(s->path, sizeof s->path, "%s/book.db", s->folder);
    folder_make(s->folder);
    s->acknowledged = 0;
    prepare(s);
    disk_watch(s->folder);
    plan_loss(s);
    work(s);
    disk_leave();
    look(s, judge);
    folder_remove(s->folder);
  }
  assert_int_equal(rmdir(root), 0);
}

static dw_book *opened(const char *path, dw_book_mode mode) {
  dw_error err;
  dw_book *book = NULL;
  expect(dw_book_open(path, mode, &book, &err), DW_OK, err);
  return book;
}

/* ---- pouring ------------------------------------------------------------------------------------------- */

static int64_t acks[ACKS_MAX];

static void judge_pours(const session *s, const loss *l) {
  (void)s;
  expect_nothing_lost(in(l, "book.db"), acks, (size_t)l->acknowledged);
}

static void prepare_pattern(session *s) {
  dw_book *book = opened(s->path, DW_BOOK_WRITE);
  pattern_make(book, "frog");
  dw_book_close(book);
}

/* Closing folds the log into the file and takes it away; so does a log of 1,000 pages, without taking it away. */
static void pour_on(session *s) {
  enum { POURS = 400 };
  dw_error err;
  dw_pattern pattern;
  dw_book *book = opened(s->path, DW_BOOK_WRITE);
  expect(dw_pattern_find(book, "frog", &pattern, &err), DW_OK, err);
  for (long i = 0; i < POURS && s->losses < s->wanted; i++) {
    expect(pour_surely(book, &pattern, &acks[s->acknowledged], &err), DW_OK, err);
    s->acknowledged++;
    look(s, judge_pours);
    if (dw_random_uniform(&s->random) > 0.02) continue;
    dw_book_close(book);
    book = opened(s->path, DW_BOOK_WRITE);
  }
  dw_book_close(book);
}

static void test_pouring(void **state) {
  static session s;
  (void)state;
  run(&s, 60, prepare_pattern, pour_on, judge_pours);
  print_message("pouring: %ld losses, 0 pours lost, 0 books corrupt\n", s.losses);
}

/* ---- a book is made, or brought up to date -------------------------------------------------------------- */

static void prepare_nothing(session *s) {
  (void)s;
}

static void make_book(session *s) {
  dw_book_close(opened(s->path, DW_BOOK_WRITE));
  s->acknowledged = 1;
}

static void judge_made(const session *s, const loss *l) {
  (void)s;
  dw_book *book = opened(in(l, "book.db"), l->acknowledged ? DW_BOOK_READ : DW_BOOK_WRITE);
  expect_whole(book);
  dw_book_close(book);
}

static void test_making(void **state) {
  static session s;
  (void)state;
  run(&s, 8, prepare_nothing, make_book, judge_made);
  print_message("making a book: %ld losses, 0 corrupt\n", s.losses);
}

enum { OLD_VERSION = 12 };

static void prepare_old(session *s) {
  make_old(s->path, OLD_VERSION);
}

static void judge_migrated(const session *s, const loss *l) {
  dw_error err;
  dw_pattern pattern;
  (void)s;
  dw_book *book = opened(in(l, "book.db"), l->acknowledged ? DW_BOOK_READ : DW_BOOK_WRITE);
  expect_whole(book);
  expect(dw_pattern_find(book, "old one", &pattern, &err), DW_OK, err);
  dw_book_close(book);
}

static void test_migrating(void **state) {
  static session s;
  (void)state;
  run(&s, 40, prepare_old, make_book, judge_migrated);
  print_message("bringing an older book up to date: %ld losses, 0 lost, 0 corrupt\n", s.losses);
}

/* ---- import, export, backup, restore -------------------------------------------------------------------- */

static char *exported;
static size_t n_exported;

static bool has_pattern(const char *path, const char *name) {
  dw_error err;
  dw_pattern pattern;
  dw_book *book = opened(path, DW_BOOK_READ);
  expect_whole(book);
  dw_status status = dw_pattern_find(book, name, &pattern, &err);
  dw_book_close(book);
  return status == DW_OK;
}

static void prepare_import(session *s) {
  dw_book *book = opened(s->path, DW_BOOK_WRITE);
  pattern_make(book, "mine");
  dw_book_close(book);
}

static void import_all(session *s) {
  dw_error err;
  dw_book_imported imported;
  dw_book *book = opened(s->path, DW_BOOK_WRITE);
  expect(dw_book_begin(book, &err), DW_OK, err);
  expect(dw_book_import(book, exported, n_exported, "export.json", &imported, &err), DW_OK, err);
  expect(dw_book_commit(book, &err), DW_OK, err);
  s->acknowledged = 1;
  dw_book_close(book);
}

static void judge_imported(const session *s, const loss *l) {
  (void)s;
  bool frog = has_pattern(in(l, "book.db"), "frog"), toad = has_pattern(in(l, "book.db"), "toad");
  assert_true(has_pattern(in(l, "book.db"), "mine"));
  assert_true(frog == toad);
  assert_true(frog || !l->acknowledged);
}

static void make_export(void) {
  dw_error err;
  char folder[SCRATCH_ROOM], path[96];
  assert_true(scratch_make(folder, "power"));
  snprintf(path, sizeof path, "%s/book.db", folder);
  dw_book *book = opened(path, DW_BOOK_WRITE);
  pattern_make(book, "frog");
  pattern_make(book, "toad");
  expect(dw_book_export(book, DW_EXPORT_WITHOUT_JOURNAL, &exported, &n_exported, &err), DW_OK, err);
  dw_book_close(book);
  folder_remove(folder);
}

static void test_importing(void **state) {
  static session s;
  (void)state;
  make_export();
  run(&s, 15, prepare_import, import_all, judge_imported);
  free(exported);
  print_message("importing: %ld losses, each time all of it or nothing\n", s.losses);
}

static const char OLD_TEXT[] = "what was there before";

static void prepare_file(session *s) {
  char path[128];
  snprintf(path, sizeof path, "%s/export.json", s->folder);
  file_put(path, OLD_TEXT, sizeof OLD_TEXT - 1);
}

static void write_export(session *s) {
  dw_error err;
  char path[128];
  snprintf(path, sizeof path, "%s/export.json", s->folder);
  expect(dw_file_write(path, exported, n_exported, &err), DW_OK, err);
  s->acknowledged = 1;
  expect(dw_file_write(path, exported, n_exported, &err), DW_OK, err);
}

static void judge_file(const session *s, const loss *l) {
  dw_error err;
  char *text = NULL;
  size_t n;
  (void)s;
  expect(dw_file_read(in(l, "export.json"), 1 << 24, &text, &n, &err), DW_OK, err);
  bool new = n == n_exported &&memcmp(text, exported, n) == 0;
  assert_true(new || (!l->acknowledged && strcmp(text, OLD_TEXT) == 0));
  free(text);
}

static void test_exporting(void **state) {
  static session s;
  (void)state;
  make_export();
  run(&s, 2, prepare_file, write_export, judge_file);
  free(exported);
  print_message("writing an export: %ld losses, each time the old file or the new one, whole\n", s.losses);
}

static void prepare_backup(session *s) {
  char backup[128];
  dw_error err;
  snprintf(backup, sizeof backup, "%s/backup.db", s->folder);
  dw_book *book = opened(s->path, DW_BOOK_WRITE);
  pattern_make(book, "frog");
  expect(dw_book_backup(book, backup, &err), DW_OK, err);
  pattern_make(book, "toad");
  dw_book_close(book);
}

/* acknowledged: 1 a second backup is made, 2 the first one is in place */
static void backup_and_restore(session *s) {
  char backup[128], second[128], kept[256];
  dw_error err;
  snprintf(backup, sizeof backup, "%s/backup.db", s->folder);
  snprintf(second, sizeof second, "%s/second.db", s->folder);
  dw_book *book = opened(s->path, DW_BOOK_READ);
  expect(dw_book_backup(book, second, &err), DW_OK, err);
  dw_book_close(book);
  s->acknowledged = 1;
  expect(dw_book_restore(backup, s->path, kept, sizeof kept, &err), DW_OK, err);
  s->acknowledged = 2;
  dw_book_close(opened(s->path, DW_BOOK_WRITE));
}

static void judge_restored(const session *s, const loss *l) {
  (void)s;
  bool old = has_pattern(in(l, "book.db"), "toad");
  assert_true(has_pattern(in(l, "book.db"), "frog"));
  if (l->acknowledged >= 1) assert_true(has_pattern(in(l, "second.db"), "toad"));
  if (l->acknowledged == 2) assert_false(old);
  if (l->acknowledged == 0) assert_true(old);
}

static void test_restoring(void **state) {
  static session s;
  (void)state;
  run(&s, 15, prepare_backup, backup_and_restore, judge_restored);
  print_message("backup and restore: %ld losses, each time the old book or the new one, whole\n", s.losses);
}

int main(int argc, char **argv) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_pouring),   cmocka_unit_test(test_making),    cmocka_unit_test(test_migrating),
      cmocka_unit_test(test_importing), cmocka_unit_test(test_exporting), cmocka_unit_test(test_restoring),
  };
  if (argc > 1) wanted = atol(argv[1]);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
