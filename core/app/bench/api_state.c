/* What the page begins with, and pairing. */
#include "app/bench/desk.h"
#include "app/values.h"

#include <stdlib.h>
#include <string.h>

pt_status pt__shelf_get(pt_bench *bench, pt_shelf **out, pt_error *err) {
  pt_status status = pt__book_begin_reading(bench, err);
  if (status != PT_OK) return status;
  return pt__book_end(bench, pt_book_shelf(bench->book, out, NULL, err), err);
}

static json_t *cautions_json(void) {
  json_t *list = json_array();
  for (size_t i = 0; i < pt_caution_count; i++) list = pt_json_and(list, json_string(pt_cautions[i]));
  return list;
}

static json_t *plugins_json(const pt_plugins *plugins) {
  json_t *list = json_array();
  for (size_t i = 0; i < plugins->n; i++) {
    const pt_plugin_entry_info *e = &plugins->entry[i];
    list = pt_json_and(list, json_pack("{s:s, s:s, s:b, s:s}", "id", e->id, "title", e->title, "usable",
                                       e->usable, "why", e->why));
  }
  return list;
}

static pt_status patterns_json(pt_book *book, json_t *root, pt_error *err) {
  pt_pattern *list = NULL;
  size_t n = 0;
  json_t *out = json_array();
  pt_status status = pt_pattern_list(book, &list, &n, err);
  for (size_t i = 0; i < n; i++) out = pt_json_and(out, pt__pattern_json(&list[i]));
  free(list);
  if (json_object_set_new(root, "patterns", out) != 0 && status == PT_OK)
    status = pt_fail_memory(err, "the patterns");
  return status;
}

static pt_status works_json(pt_book *book, json_t *root, pt_error *err) {
  pt_work_title *list = NULL;
  pt_work newest = {0};
  size_t n = 0;
  json_t *out = json_array();
  pt_status status = pt_work_list(book, &list, &n, err);
  for (size_t i = 0; i < n; i++)
    out = pt_json_and(out, json_pack("{s:I, s:I, s:s, s:s, s:s}", "id", (json_int_t)list[i].id, "revision",
                                     (json_int_t)list[i].revision, "name", list[i].name, "pattern",
                                     list[i].pattern, "updated", list[i].updated));
  if (status == PT_OK && n > 0) status = pt_work_get(book, list[0].id, &newest, err);
  bool whole = json_object_set_new(root, "works", out) == 0 &&
               json_object_set_new(root, "work", newest.id ? pt__work_json(&newest) : json_null()) == 0;
  if (!whole && status == PT_OK) status = pt_fail_memory(err, "the work");
  pt_work_free(&newest);
  free(list);
  return status;
}

static pt_status state(pt_bench *bench, json_t *root, pt_error *err) {
  json_t *shelf = NULL;
  pt_status status = patterns_json(bench->book, root, err);
  if (status == PT_OK) status = works_json(bench->book, root, err);
  if (status == PT_OK) status = pt__shelf_json(bench, &shelf, err);
  if (status == PT_OK && json_object_set_new(root, "shelf", shelf) != 0)
    status = pt_fail_memory(err, "the shelf");
  return status;
}

pt_status pt__state_get(pt__exchange *x, pt_error *err) {
  const char *units = x->bench->units == PT_UNITS_METRIC ? "metric" : "us";
  x->json = json_pack("{s:s, s:s, s:b, s:o, s:o}", "version", PT_VERSION, "units", units, "paired", 1,
                      "cautions", cautions_json(), "plugins", plugins_json(&x->bench->plugins));
  if (!x->json) return pt_fail_memory(err, "the state");
  pt_status status = pt__book_begin_reading(x->bench, err);
  return status == PT_OK ? pt__book_end(x->bench, state(x->bench, x->json, err), err) : status;
}

static pt_status pair(pt__exchange *x, const char *code, pt_error *err) {
  char token[PT__TOKEN_DIGITS + 1];
  pt_status status = pt__guard_pair(&x->bench->guard, code, token, err);
  if (status != PT_OK) {
    x->status = MHD_HTTP_UNAUTHORIZED;
    return status;
  }
  snprintf(x->cookie, sizeof x->cookie,
           "pourtone_token=%s; HttpOnly; SameSite=Strict; Path=/; Max-Age=2592000", token);
  return PT_OK;
}

pt_status pt__pair_post(pt__exchange *x, pt_error *err) {
  const char *code;
  pt_status status = pt__text_of(x->body, "code", true, &code, err);
  if (status == PT_OK && x->bench->guard.lan && !x->token_fine) status = pair(x, code, err);
  if (status == PT_OK && !(x->json = json_pack("{s:b}", "paired", 1)))
    status = pt_fail_memory(err, "the answer");
  return status;
}
