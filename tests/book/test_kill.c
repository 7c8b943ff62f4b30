/* kill -9 at random moments: what was acknowledged is there afterwards, and the book is whole. */
#include "book_local.h"
#include "dropwise/book_journal.h"
#include "dropwise/numeric.h"

#include <signal.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>

enum { KILLS = 300, KILLS_MAKING = 60, KILLS_RESTORING = 60, ACKS_MAX = 4096 };

static void nap_us(double us) {
  const long whole = (long)(us / 1e6);
  nanosleep(&(struct timespec){whole, (long)((us - 1e6 * (double)whole) * 1000)}, NULL);
}

/* A batch with a cup, two additions, a pour and its reading: one transaction. */
static dw_status pour_log(dw_book *book, const dw_pattern *pattern, int64_t *pour, dw_error *err) {
  int64_t batch = 0, cup, reading;
  dw_status status = dw_book_begin(book, err);
  if (status == DW_OK) status = dw_batch_begin(book, pattern->id, NULL, NULL, &batch, err);
  if (status == DW_OK) status = dw_book_cup_begin(book, batch, pattern->layer[0].id, 4, 5, &cup, err);
  if (status == DW_OK) status = dw_book_cup_add(book, cup, "orange", 12, err);
  if (status == DW_OK) status = dw_book_cup_add(book, cup, "brown", 2, err);
  if (status == DW_OK) status = dw_pour_log(book, &(dw_pour){.cup = cup, .slab = {10, 0.2}}, pour, err);
  dw_book_reading r = {.batch = batch, .layer = pattern->layer[0].id, .pour = *pour, .lab = {50, 20, 30}};
  if (status == DW_OK) status = dw_reading_log(book, &r, &reading, err);
  if (status == DW_OK) status = dw_book_commit(book, err);
  dw_book_rollback(book);
  return status;
}

/* Every third pour is taken back and brought back before it is acknowledged. */
static dw_status pour_surely(dw_book *book, const dw_pattern *pattern, int64_t *pour, dw_error *err) {
  dw_status status = pour_log(book, pattern, pour, err);
  if (status != DW_OK || *pour % 3) return status;
  status = dw_book_undo(book, 0, NULL, err);
  return status == DW_OK ? dw_book_redo(book, 0, NULL, err) : status;
}

/* Opens the book and logs pours for ever, saying each one's id once it is committed. */
static void pour_for_ever(const char *path, int out) {
  dw_error err;
  dw_book *book = NULL;
  dw_pattern pattern;
  int64_t pour = 0;
  if (dw_book_open(path, DW_BOOK_WRITE, &book, &err) != DW_OK) _exit(1);
  if (dw_pattern_find(book, "frog", &pattern, &err) != DW_OK) _exit(2);
  while (pour_surely(book, &pattern, &pour, &err) == DW_OK)
    if (write(out, &pour, sizeof pour) != sizeof pour) _exit(3);
  _exit(4);
}

static bool pour_there(dw_book *book, const dw_pattern *pattern, int64_t id) {
  /* the n-th pour is of the n-th batch: one each */
  dw_error err;
  dw_batch batch;
  dw_book_cup cup;
  dw_pour_kept *list = NULL;
  size_t n = 0;
  char name[32];
  snprintf(name, sizeof name, "%lld", (long long)id);
  bool there = dw_batch_find(book, pattern->id, name, &batch, &err) == DW_OK &&
               dw_book_cup_find(book, batch.id, pattern->layer[0].id, &cup, &err) == DW_OK &&
               dw_pour_list(book, cup.id, &list, &n, &err) == DW_OK && n == 1 && list[0].id == id &&
               cup.additions == 2 && list[0].has_measured;
  free(list);
  return there;
}

/* Each pour has its entry: the journal tells of as many as there are, and none twice. */
static void expect_journal(dw_book *book, const dw_pattern *pattern) {
  dw_error err;
  dw_entry *list = NULL;
  dw_batch *batches = NULL;
  size_t n, m, done = 0;
  expect(dw_entry_list(book, pattern->id, 0, &list, &n, &err), DW_OK, err);
  expect(dw_batch_list(book, pattern->id, &batches, &m, &err), DW_OK, err);
  for (size_t i = 0; i < n; i++) done += list[i].state == DW_ENTRY_DONE && list[i].kind == DW_ENTRY_READING;
  assert_int_equal(done, m);
  free(list);
  free(batches);
}

/* After a kill: whole, and everything acknowledged in it. */
static void expect_nothing_lost(const char *path, const int64_t *acks, size_t n) {
  dw_error err;
  dw_book *book = NULL;
  dw_pattern pattern;
  dw_text found = {0};
  expect(dw_book_open(path, DW_BOOK_READ, &book, &err), DW_OK, err);
  dw_status status = dw_book_check(book, &found, &err);
  if (found.length) print_error("%s", found.data);
  expect(status, DW_OK, err);
  expect(dw_pattern_find(book, "frog", &pattern, &err), DW_OK, err);
  for (size_t i = 0; i < n; i++) assert_true(pour_there(book, &pattern, acks[i]));
  expect_journal(book, &pattern);
  dw_text_free(&found);
  dw_book_close(book);
}

static void test_kill_pouring(void **state) {
  shop *s = *state;
  dw_random random = dw_random_seed(20260501);
  size_t acknowledged = 0, largest = 0;
  pattern_make(s->book, "frog");
  dw_book_close(s->book);
  s->book = NULL;
  for (int i = 0; i < KILLS; i++) {
    int pipes[2];
    static int64_t acks[ACKS_MAX];
    assert_int_equal(pipe(pipes), 0);
    pid_t child = fork();
    if (child == 0) pour_for_ever(s->path, pipes[1]);
    close(pipes[1]);
    size_t n = 0, wait_for = (size_t)(3 * dw_random_uniform(&random));
    while (n < wait_for && read(pipes[0], &acks[n], sizeof *acks) == sizeof *acks) n++;
    nap_us(8000 * dw_random_uniform(&random));
    kill(child, SIGKILL);
    int status;
    waitpid(child, &status, 0);
    assert_true(WIFSIGNALED(status)); /* it did not stop of itself */
    while (n < ACKS_MAX && read(pipes[0], &acks[n], sizeof *acks) == sizeof *acks) n++;
    close(pipes[0]);
    expect_nothing_lost(s->path, acks, n);
    acknowledged += n;
    if (n > largest) largest = n;
  }
  print_message("%d kills, %zu pours acknowledged (at most %zu between two kills), 0 lost, 0 books corrupt\n",
                KILLS, acknowledged, largest);
  assert_true(acknowledged > KILLS); /* the kills did hit a process at work */
}

/* Killed while the book is made: what is there is either no book yet or a whole one, and can be opened. */
static void test_kill_making(void **state) {
  shop *s = *state;
  dw_error err;
  dw_random random = dw_random_seed(7);
  for (int i = 0; i < KILLS_MAKING; i++) {
    char path[96];
    dw_book *book = NULL;
    dw_text found = {0};
    snprintf(path, sizeof path, "%s/fresh-%d", s->folder, i);
    pid_t child = fork();
    if (child == 0) _exit(dw_book_open(path, DW_BOOK_WRITE, &book, &err) == DW_OK ? 0 : 1);
    nap_us(8000 * dw_random_uniform(&random));
    kill(child, SIGKILL);
    waitpid(child, NULL, 0);
    expect(dw_book_open(path, DW_BOOK_WRITE, &book, &err), DW_OK, err);
    expect(dw_book_check(book, &found, &err), DW_OK, err);
    dw_text_free(&found);
    dw_book_close(book);
  }
}

static double now_us(void) {
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return 1e6 * (double)now.tv_sec + (double)now.tv_nsec / 1000;
}

/* A copy of the shop's book, which is closed. */
static void copy_book(const shop *s, const char *to) {
  char command[300];
  snprintf(command, sizeof command, "cp %s %s", s->path, to);
  assert_int_equal(system(command), 0);
}

/* Killed while a backup is put in its place: the book is the old one or the new one, whole. */
static void test_kill_restoring(void **state) {
  shop *s = *state;
  dw_error err;
  dw_random random = dw_random_seed(11);
  char backup[96], path[96], kept[256];
  int new_ones = 0;
  pattern_make(s->book, "frog");
  snprintf(backup, sizeof backup, "%s/backup", s->folder);
  expect(dw_book_backup(s->book, backup, &err), DW_OK, err);
  pattern_make(s->book, "only in the old one");
  dw_book_close(s->book);
  s->book = NULL;
  snprintf(path, sizeof path, "%s/first", s->folder);
  copy_book(s, path);
  double took_us = -now_us();
  expect(dw_book_restore(backup, path, kept, sizeof kept, &err), DW_OK, err);
  took_us += now_us();
  /* A loaded machine, or the sanitizers in a forked child, may take many times as long: the longest wait
   * follows what the kills met, so that they fall on both sides. */
  double longest_us = 2 * took_us;
  for (int i = 0; i < KILLS_RESTORING; i++) {
    dw_book *book = NULL;
    dw_pattern pattern;
    dw_text found = {0};
    snprintf(path, sizeof path, "%s/place-%d", s->folder, i);
    copy_book(s, path);
    pid_t child = fork();
    if (child == 0) _exit(dw_book_restore(backup, path, kept, sizeof kept, &err) == DW_OK ? 0 : 1);
    nap_us(longest_us * dw_random_uniform(&random));
    kill(child, SIGKILL);
    waitpid(child, NULL, 0);
    expect(dw_book_open(path, DW_BOOK_READ, &book, &err), DW_OK, err);
    expect(dw_book_check(book, &found, &err), DW_OK, err);
    const bool is_new = dw_pattern_find(book, "only in the old one", &pattern, &err) == DW_NOT_FOUND;
    longest_us *= is_new ? 0.8 : 1.25;
    new_ones += is_new;
    dw_text_free(&found);
    dw_book_close(book);
  }
  print_message("%d kills of a restore: %d times the new book was in place, else the old one\n",
                KILLS_RESTORING, new_ones);
  assert_true(new_ones > 0 && new_ones < KILLS_RESTORING); /* the kills did fall on both sides */
}

int main(void) {
  const struct CMUnitTest tests[] = {
      book_test(test_kill_pouring),
      book_test(test_kill_making),
      book_test(test_kill_restoring),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
