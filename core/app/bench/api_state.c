/* What the page begins with, and pairing. */
#include "app/bench/on_bench.h"
#include "app/bench/plugins_json.h"
#include "app/bench/request.h"
#include "app/bench/settings.h"
#include "dropwise/batch_tone.h"

#include <stdlib.h>

dw_status dw__shelf_get(dw_bench *bench, dw_shelf **out, dw_error *err) {
  dw_status status = dw__book_begin_reading(bench, err);
  if (status != DW_OK) return status;
  status = dw_book_shelf(bench->book, out, NULL, err);
  if (status == DW_OK) status = dw_book_shelf_hold(bench->book, *out, err);
  return dw__book_end(bench, status, err);
}

static json_t *cautions_json(void) {
  json_t *list = json_array();
  for (size_t i = 0; i < dw_caution_count; i++) list = dw_json_and(list, json_string(dw_cautions[i]));
  return list;
}

static dw_status patterns_json(dw_book *book, json_t *root, dw_error *err) {
  dw_pattern *list = NULL;
  size_t n = 0;
  json_t *out = json_array();
  dw_status status = dw_pattern_list(book, &list, &n, err);
  for (size_t i = 0; i < n; i++) out = dw_json_and(out, dw__pattern_json(&list[i]));
  free(list);
  if (json_object_set_new(root, "patterns", out) != 0 && status == DW_OK)
    status = dw_fail_memory(err, "the patterns");
  return status;
}

static dw_status works_json(dw_bench *bench, json_t *root, dw_error *err) {
  dw_book_bench *list = NULL;
  size_t n = 0;
  json_t *out = json_array(), *newest = NULL;
  dw_status status = dw_book_bench_list(bench->book, &list, &n, err);
  for (size_t i = 0; i < n; i++)
    out =
        dw_json_and(out, json_pack("{s:I, s:s, s:s, s:s}", "id", (json_int_t)list[i].id, "name", list[i].name,
                                   "pattern", list[i].pattern_name, "updated", list[i].updated));
  if (status == DW_OK && n > 0) status = dw__work_json(bench, list[0].id, &newest, err);
  bool whole = json_object_set_new(root, "works", out) == 0 &&
               json_object_set_new(root, "work", newest ? newest : json_null()) == 0;
  if (!whole && status == DW_OK) status = dw_fail_memory(err, "the work");
  free(list);
  return status;
}

static dw_status tones_json(dw_book *book, json_t *root, dw_error *err) {
  dw_tone *list = NULL;
  size_t n = 0;
  json_t *out = json_array();
  dw_status status = dw_tone_list(book, &list, &n, err);
  for (size_t i = 0; i < n && status == DW_OK; i++) {
    dw_tone_range range;
    if (list[i].n > 0) status = dw_tone_range_load(book, list[i].id, &range, err);
    if (status == DW_OK) out = dw_json_and(out, dw_json_tone_kept(&list[i], list[i].n > 0 ? &range : NULL));
  }
  free(list);
  if (json_object_set_new(root, "tones", out) != 0 && status == DW_OK)
    status = dw_fail_memory(err, "the tones");
  return status;
}

static json_t *outlines_json(void) {
  json_t *names = json_array();
  for (int i = 0; i < DW_OUTLINE_COUNT; i++)
    names = dw_json_and(names, json_string(dw_outline_name((dw_outline)i)));
  return json_pack("{s:o, s:s}", "names", names, "usual", dw_outline_name(DW_OUTLINE_SWIMBAIT));
}

static dw_status units_json(dw_bench *bench, json_t *root, dw_error *err) {
  dw_units units;
  dw_status status = dw__units_in(bench, &units, err);
  if (status != DW_OK) return status;
  const char *name = units == DW_UNITS_METRIC ? "metric" : "us";
  return json_object_set_new(root, "units", json_string(name)) == 0 ? DW_OK
                                                                    : dw_fail_memory(err, "the units");
}

static dw_status state(dw_bench *bench, json_t *root, dw_error *err) {
  json_t *shelf = NULL;
  dw_status status = patterns_json(bench->book, root, err);
  if (status == DW_OK) status = works_json(bench, root, err);
  if (status == DW_OK) status = dw__plugins_json(bench, root, err);
  if (status == DW_OK) status = dw__molds_json(bench, root, err);
  if (status == DW_OK) status = tones_json(bench->book, root, err);
  if (status == DW_OK) status = units_json(bench, root, err);
  if (status == DW_OK) status = dw__shelf_json(bench, &shelf, err);
  if (status == DW_OK && json_object_set_new(root, "shelf", shelf) != 0)
    status = dw_fail_memory(err, "the shelf");
  return status;
}

dw_status dw__state_get(dw__exchange *x, dw_error *err) {
  x->json =
      json_pack("{s:s, s:b, s:o, s:s, s:o, s:{s:f, s:i}}", "version", DW_VERSION, "paired", 1, "cautions",
                cautions_json(), "caution_line", dw_caution_line, "outlines", outlines_json(), "limits",
                "right_de00", DW_LEAVE_LEAST_DE00, "layers_found", DW_BAIT_LAYERS_MAX);
  if (!x->json) return dw_fail_memory(err, "the state");
  dw_status status = dw__book_begin_reading(x->bench, err);
  return status == DW_OK ? dw__book_end(x->bench, state(x->bench, x->json, err), err) : status;
}

static dw_status pair(dw__exchange *x, const char *code, dw_error *err) {
  char token[DW__TOKEN_DIGITS + 1];
  dw__guess guess = {.code = code, .address = x->conn ? x->conn->address : 0, .now_s = dw__now_s()};
  dw_status status = dw__guard_pair(&x->bench->guard, &guess, token, err);
  if (status != DW_OK) {
    x->status = MHD_HTTP_UNAUTHORIZED;
    return status;
  }
  snprintf(x->cookie, sizeof x->cookie,
           "dropwise_token=%s; HttpOnly; SameSite=Strict; Path=/; Max-Age=2592000", token);
  return DW_OK;
}

dw_status dw__pair_post(dw__exchange *x, dw_error *err) {
  const char *code;
  dw_status status = dw_json_text_of(x->body, "code", true, &code, err);
  if (status == DW_OK && x->bench->guard.lan && !x->token_fine) status = pair(x, code, err);
  if (status == DW_OK && !(x->json = json_pack("{s:b}", "paired", 1)))
    status = dw_fail_memory(err, "the answer");
  return status;
}
