#include "judge.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/syscall.h>

void sweep_right_take(const sweep_shop *shop, const char *made, sweep_run *run, sweep_right *out) {
  *out = (sweep_right){.run = *run};
  sweep_timeless(out->run.out, out->run.n_out);
  if (made) out->file = sweep_shop_file(shop, made, true, &out->n_file);
  out->book = sweep_shop_book(shop);
  sweep_shop_reset(shop);
  out->book_before = sweep_shop_book(shop);
  *run = (sweep_run){0};
}

void sweep_right_free(sweep_right *right) {
  sweep_run_free(&right->run);
  free(right->file);
  free(right->book);
  free(right->book_before);
}

/* "dropwise: There is not enough memory for the book.": the last line, since others may tell of what went well. */
static bool ends_with_sentence(const sweep_run *run) {
  const char *text = run->err;
  size_t n = run->n_err;
  if (n < 2 || text[n - 1] != '\n' || text[n - 2] != '.') return false;
  const char *line = text + n - 1;
  while (line > text && line[-1] != '\n') line--;
  return strncmp(line, "dropwise", 8) == 0 && strchr(line, ' ') && strlen(line) > 30;
}

/* A warning that was not there when nothing failed, among the messages or, as part of the result, in the output. */
static bool warned(const sweep_right *right, const sweep_run *run) {
  static const char *const words[] = {"is not known: ", "plugin is left out: ", "plugin folder ", "Plugin ",
                                      "There is not enough memory"};
  if (run->n_err > right->run.n_err && run->err[run->n_err - 1] == '\n') return true;
  for (size_t i = 0; i < sizeof words / sizeof *words; i++)
    if (strstr(run->out, words[i]) && !strstr(right->run.out, words[i])) return true;
  return false;
}

static bool same_output(const sweep_right *right, sweep_run *run) {
  sweep_timeless(run->out, run->n_out);
  return run->n_out == right->run.n_out && memcmp(run->out, right->run.out, run->n_out) == 0;
}

static const char *judge_out(const sweep_right *right, sweep_run *run, bool done) {
  bool same = same_output(right, run);
  if (done) return same || warned(right, run) ? NULL : "done, but with another output and no word of it";
  if (run->call == SYS_write) { /* what went out before can't be called back */
    bool begun = run->n_out <= right->run.n_out && memcmp(run->out, right->run.out, run->n_out) == 0;
    return begun ? NULL : "failed with another output";
  }
  return same || run->n_out == 0 ? NULL : "failed, but with an output that is not whole";
}

static const char *judge_file(const sweep_shop *shop, const char *made, const sweep_right *right, bool done) {
  size_t n = 0;
  char *now = made ? sweep_shop_file(shop, made, true, &n) : NULL;
  bool whole = now && n == right->n_file && memcmp(now, right->file, n) == 0;
  const char *fault = NULL;
  if (right->file && done && !whole)
    fault = now ? "done, but the file is another" : "done, but without its file";
  if (!done && now && !whole) fault = "failed, but left a file that is not whole";
  free(now);
  return fault;
}

static bool says_kept(const sweep_run *run) {
  return strstr(run->err, "only its report could not be written") || strstr(run->err, ", but ") ||
         strstr(run->err, "look whether it is there") || strstr(run->err, "is in place");
}

static const char *judge_book(const sweep_shop *shop, const sweep_right *right, const sweep_run *run,
                              bool done) {
  static char words[400];
  if (!done && sweep_shop_book_untouched(shop)) return NULL;
  char *now = sweep_shop_book(shop);
  bool as_before = strcmp(now, right->book_before) == 0, as_after = strcmp(now, right->book) == 0;
  *words = '\0';
  if (done && !as_after)
    snprintf(words, sizeof words, "done, but the book is not as it should be: %.200s",
             as_before ? "as before" : now);
  else if (!done && !as_before && !(as_after && (right->stays || says_kept(run))))
    snprintf(words, sizeof words, "failed, but the book is %s: %.200s",
             as_after ? "changed, and nothing says so" : "neither as before nor as it should be", now);
  free(now);
  return *words ? words : NULL;
}

const char *sweep_judge(const sweep_shop *shop, const char *made, const sweep_right *right,
                        const sweep_run *run) {
  static char words[200];
  sweep_run seen = *run;
  bool done = run->code == right->run.code;
  const char *fault = NULL;
  if (run->code == SWEEP_LATE) return "took longer than a minute";
  if (run->code < 0)
    fault = "ended by a signal";
  else if (!done && run->code != 3)
    fault = "the exit code says that something else is wrong";
  else if (!done && !ends_with_sentence(run))
    fault = "failed without a sentence";
  if (!fault) fault = judge_out(right, &seen, done);
  if (!fault) fault = judge_file(shop, made, right, done);
  if (!fault) fault = judge_book(shop, right, run, done);
  const char *left =
      fault || run->call == SYS_unlink
          ? NULL
          : sweep_shop_left(shop, done || right->file || right->stays || says_kept(run) ? made : NULL);
  if (left) snprintf(words, sizeof words, "left %s behind", left), fault = words;
  return fault;
}
