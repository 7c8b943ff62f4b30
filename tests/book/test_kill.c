/* kill -9 at random moments: what was acknowledged is there afterwards, and the book is whole. */
#include "book_local.h"
#include "dropwise/numeric.h"
#include "pouring.h"

#include <signal.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>

enum { KILLS = 300, KILLS_MAKING = 60, KILLS_RESTORING = 60, ACKS_MAX = 4096 };

static void nap_us(double us) {
  const long whole = (long)(us / 1e6);
  nanosleep(&(struct timespec){whole, (long)((us - 1e6 * (double)whole) * 1000)}, NULL);
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
