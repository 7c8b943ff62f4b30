/* Card, baits, layers and blends of many photos: find, and read where nothing is marked. */
#include "app/cli/finding.h"
#include "dropwise/report_found.h"

#include <stdlib.h>

/* What became of one photo. */
typedef struct outcome {
  dw_status status;
  dw_error err;
  json_t *json; /* owned; one of the two */
  dw_text text;
} outcome;

typedef struct search {
  const cli_args *args;
  dw_find_wish wish;
  outcome *of; /* one a photo */
} search;

static dw_status report(const search *s, const dw_found *found, outcome *out, dw_error *err) {
  if (!s->args->json) {
    dw_text_found(found, &s->args->style, &out->text);
    return out->text.failed ? dw_fail_memory(err, "the report") : DW_OK;
  }
  out->json = dw_json_found(found);
  return out->json ? DW_OK : dw_fail_memory(err, "the JSON result");
}

static void find_one(void *context, size_t i) {
  search *s = context;
  outcome *out = &s->of[i];
  dw_arena *arena = dw_arena_new(0);
  dw_found *found = calloc(1, sizeof *found);
  out->status = arena && found ? DW_OK : dw_fail_memory(&out->err, "the baits");
  if (out->status == DW_OK)
    out->status = dw_find_read(s->args->word[i], s->wish.card_set, &s->wish.rules, arena, found, &out->err);
  if (out->status == DW_OK) out->status = report(s, found, out, &out->err);
  if (out->status == DW_OK) out->status = cli_find_files(s->args, &s->wish, found, arena, &out->err);
  free(found);
  dw_arena_free(arena);
}

/* The sentences of all that failed, the last of them through err; the first one's status. */
static dw_status complain(const search *s, dw_error *err) {
  dw_status first = DW_OK;
  for (size_t i = 0; i < s->args->n_words; i++) {
    if (s->of[i].status == DW_OK) continue;
    if (first == DW_OK)
      first = s->of[i].status;
    else
      cli_complain(err);
    *err = s->of[i].err;
  }
  return first;
}

static dw_status print_json(const search *s, dw_error *err) {
  size_t n = s->args->n_words;
  json_t *list = json_array();
  for (size_t i = 0; i < n; i++)
    if (s->of[i].json) list = dw_json_and(list, json_incref(s->of[i].json));
  if (n == 1 && list) {
    json_decref(list);
    return cli_print_json(json_incref(s->of[0].json), err);
  }
  return cli_print_json(json_pack("{s:o}", "readings", list), err);
}

static dw_status print_text(const search *s, dw_error *err) {
  dw_text all = {0};
  for (size_t i = 0; i < s->args->n_words; i++) {
    if (!s->of[i].text.length) continue;
    if (all.length) dw_text_add(&all, "\n");
    dw_text_put(&all, s->of[i].text.data, s->of[i].text.length);
  }
  return cli_print_text(&all, err);
}

static dw_status print_all(const search *s, dw_error *err) {
  bool any = false;
  for (size_t i = 0; i < s->args->n_words; i++) any = any || s->of[i].status == DW_OK;
  if (!any || s->args->answer_is) return DW_OK;
  return s->args->json ? print_json(s, err) : print_text(s, err);
}

dw_status cli_find_all(const cli_args *args, dw_error *err) {
  search s = {.args = args, .of = calloc(args->n_words, sizeof *s.of)};
  dw_error unprinted;
  size_t jobs = 1;
  if (!s.of) return dw_fail_memory(err, "the photos");
  dw_status status = cli_find_wish(args, NULL, &s.wish, err);
  if (status == DW_OK) status = cli_find_files_check(args, err);
  if (status == DW_OK) status = cli_jobs(args, &jobs, err);
  if (status == DW_OK) {
    cli_each_photo(args->n_words, jobs, find_one, &s);
    status = complain(&s, err);
    dw_status printed = print_all(&s, &unprinted);
    if (printed != DW_OK && status == DW_OK) {
      status = printed;
      *err = unprinted;
    }
  }
  for (size_t i = 0; i < args->n_words; i++) {
    json_decref(s.of[i].json);
    dw_text_free(&s.of[i].text);
  }
  free(s.of);
  return status;
}
