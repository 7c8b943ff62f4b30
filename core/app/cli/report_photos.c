/* Many photos, each with its result: what can be read is reported, the rest is said. */
#include "app/cli/finding.h"

#include <stdlib.h>
#include <string.h>

dw_status cli_name_photo(const char *path, dw_status status, dw_error *err) {
  char why[sizeof err->text];
  if (status == DW_OK || strstr(err->text, path)) return status;
  dw_copy_text(why, sizeof why, err->text);
  return dw_fail(err, status, "%.80s: %.400s", path, why);
}

typedef struct results {
  size_t n;
  cli_photo_job *job;
  void *context;
  cli_photo_result *of; /* n */
} results;

static void run_one(void *context, size_t i) {
  results *r = context;
  r->of[i].status = r->job(r->context, i, &r->of[i], &r->of[i].err);
}

/* The sentences of all photos in their order, the last failure's through err; the first failure's status. */
static dw_status complain(const results *r, dw_error *err) {
  dw_status first = DW_OK;
  for (size_t i = 0; i < r->n; i++) {
    const cli_photo_result *one = &r->of[i];
    if (one->remarked) cli_complain(&one->remark);
    if (one->status == DW_OK) continue;
    if (first == DW_OK)
      first = one->status;
    else
      cli_complain(err);
    *err = one->err;
  }
  return first;
}

static dw_status print_json(const results *r, dw_error *err) {
  if (r->n == 1) return cli_print_json(json_incref(r->of[0].json), err);
  json_t *list = json_array();
  for (size_t i = 0; i < r->n; i++)
    if (r->of[i].json) list = dw_json_and(list, json_incref(r->of[i].json));
  return cli_print_json(json_pack("{s:o}", "readings", list), err);
}

static dw_status print_text(const cli_args *args, const results *r, dw_error *err) {
  dw_text all = {0};
  for (size_t i = 0; i < r->n; i++) {
    if (!r->of[i].text.length) continue;
    if (all.length) dw_text_add(&all, "\n");
    dw_text_put(&all, r->of[i].text.data, r->of[i].text.length);
  }
  if (cli_has(args, "--more")) dw_text_reading_legend(&all);
  return cli_print_text(&all, err);
}

static dw_status print_all(const cli_args *args, const results *r, dw_error *err) {
  bool any = false;
  for (size_t i = 0; i < r->n; i++) any = any || r->of[i].status == DW_OK;
  if (!any || args->answer_is) return DW_OK;
  return args->json ? print_json(r, err) : print_text(args, r, err);
}

dw_status cli_report_photos(const cli_args *args, cli_photo_job *job, void *context, dw_error *err) {
  results r = {args->n_words, job, context, calloc(args->n_words, sizeof *r.of)};
  dw_error unprinted;
  size_t jobs = 1;
  dw_status status = r.of ? cli_jobs(args, &jobs, err) : dw_fail_memory(err, "the photos");
  if (status == DW_OK) {
    cli_each_photo(r.n, jobs, run_one, &r);
    status = complain(&r, err);
    dw_status printed = print_all(args, &r, &unprinted);
    if (printed != DW_OK && status == DW_OK) {
      status = printed;
      *err = unprinted;
    }
  }
  for (size_t i = 0; r.of && i < r.n; i++) {
    json_decref(r.of[i].json);
    dw_text_free(&r.of[i].text);
  }
  free(r.of);
  return status;
}
