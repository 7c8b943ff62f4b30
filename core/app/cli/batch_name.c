/* The name of a batch, as typed: a slip in one must not begin a batch that nobody wanted. */
#include "app/cli/book.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { NEAREST_SHOWN = 3 };

/* ---- what it may have been meant to be ----------------------------------------------------------------- */

static size_t slips(const char *word, const char *name) {
  dw_nearest nearest = {.word = word};
  dw_nearest_offer(&nearest, name);
  return nearest.distance;
}

/* The nearest of the names that stand behind the first `from` moves there; of equal ones the newest. */
static void bring_nearest(const char *word, dw_batch *list, size_t from, size_t n) {
  size_t best = from;
  for (size_t i = from; i < n; i++)
    if (slips(word, list[i].name) <= slips(word, list[best].name)) best = i;
  const dw_batch found = list[best];
  memmove(&list[from + 1], &list[from], (best - from) * sizeof found);
  list[from] = found;
}

/* "7, 6, 5 and 2 more", the nearest first. */
static void word_nearest(const char *word, dw_batch *list, size_t n, dw_text *out) {
  const size_t shown = n < NEAREST_SHOWN ? n : NEAREST_SHOWN;
  for (size_t i = 0; i < shown; i++) {
    bring_nearest(word, list, i, n);
    dw_text_add(out, "%s%s", i ? ", " : "", list[i].name);
  }
  if (n > shown) dw_text_add(out, " and %zu more", n - shown);
}

/* ---- asked --------------------------------------------------------------------------------------------- */

/* A person at a terminal; anything but yes is no. */
static bool agreed(const char *question) {
  char answer[16] = "";
  fprintf(stderr, "%s Begin it? [y/N] ", question);
  fflush(stderr);
  if (!fgets(answer, sizeof answer, stdin)) return false;
  answer[strcspn(answer, "\r\n")] = '\0';
  return dw_names_alike(answer, "y") || dw_names_alike(answer, "yes");
}

static dw_status ask(const char *pattern, const char *name, dw_batch *list, size_t n, dw_error *err) {
  dw_text text = {0};
  dw_text_add(&text, "\"%.60s\" has no batch \"%.60s\" yet (nearest: ", pattern, name);
  word_nearest(name, list, n, &text);
  dw_text_add(&text, ")");
  dw_status status = text.failed ? dw_fail_memory(err, "the batches") : DW_OK;
  if (status == DW_OK && !isatty(STDIN_FILENO))
    status = dw_fail(err, DW_USAGE, "%.400s: give one that there is, or --new to begin it.", text.data);
  else if (status == DW_OK && !agreed(text.data))
    status = dw_fail(err, DW_USAGE, "Batch \"%.60s\" was not begun, and nothing was kept.", name);
  dw_text_free(&text);
  return status;
}

/* ---- found, or begun ----------------------------------------------------------------------------------- */

/* Nothing can be mistaken for another where a pattern has no batch yet. */
static dw_status check(dw_book *book, const dw_pattern *pattern, const char *name, dw_error *err) {
  dw_batch found, *list = NULL;
  dw_error missing = {0};
  size_t n = 0;
  dw_status status = dw_batch_list(book, pattern->id, &list, &n, err);
  if (status == DW_OK && n > 0) {
    status = dw_batch_find(book, pattern->id, name, &found, &missing);
    if (status == DW_NOT_FOUND)
      status = ask(pattern->name, name, list, n, err);
    else if (status != DW_OK)
      *err = missing;
  }
  free(list);
  return status;
}

dw_status cli_batch_ask(const cli_args *args, const char *pattern_name, const char *option, dw_error *err) {
  const char *name = cli_value(args, option);
  dw_book *book = NULL;
  dw_pattern pattern;
  if (!name || cli_has(args, "--new")) return DW_OK;
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_pattern_find(book, pattern_name, &pattern, err);
  if (status == DW_OK) status = check(book, &pattern, name, err);
  dw_book_close(book);
  return status;
}

dw_status cli_batch_take(const cli_args *args, dw_book *book, int64_t pattern, const char *name,
                         dw_batch *out, dw_error *err) {
  dw_error none;
  int64_t id;
  dw_status status = name ? dw_batch_find(book, pattern, name, out, &none) : DW_NOT_FOUND;
  const bool same = status == DW_OK && strcmp(out->name, name) == 0;
  if (same && cli_has(args, "--new"))
    return dw_fail(err, DW_USAGE, "There is a batch \"%.60s\" already; leave out --new to go on with it.",
                   name);
  if (status != DW_NOT_FOUND && !cli_has(args, "--new"))
    return status == DW_OK ? DW_OK : dw_fail(err, status, "%s", none.text);
  status = dw_batch_begin(book, pattern, name, NULL, &id, err);
  return status == DW_OK ? dw_batch_get(book, id, out, err) : status;
}

/* ---- one that there is --------------------------------------------------------------------------------- */

dw_status cli_batch_find(dw_book *book, const char *pattern_name, const char *name, dw_pattern *pattern,
                         dw_batch *batch, dw_error *err) {
  dw_status status = dw_pattern_find(book, pattern_name, pattern, err);
  return status == DW_OK ? dw_batch_find(book, pattern->id, name, batch, err) : status;
}

dw_status cli_batch_say(const cli_args *args, const char *pattern_name, const char *name, cli_batch_put *put,
                        dw_error *err) {
  dw_book *book = NULL;
  dw_pattern pattern;
  dw_batch batch;
  dw_text text = {0};
  json_t *json = NULL;
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = cli_batch_find(book, pattern_name, name, &pattern, &batch, err);
  if (status == DW_OK) status = put(args, book, &pattern, &batch, &json, &text, err);
  return cli_book_say(args, book, status, json, &text, err);
}
