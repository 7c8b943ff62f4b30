/* A plan's words in parts, for who sets them out in another way than on a terminal. */
#include "report/plan_lines.h"

#include <string.h>

/* The text's lines without their indents; frees it. A new reference, or NULL when out of memory. */
static json_t *lines_take(dw_text *text) {
  json_t *list = text->failed ? NULL : json_array();
  const char *at = text->data ? text->data : "";
  while (list && *at) {
    at += strspn(at, " ");
    const size_t n = strcspn(at, "\n");
    if (n > 0) list = dw_json_and(list, json_stringn(at, n));
    at += n + (at[n] == '\n');
  }
  dw_text_free(text);
  return list;
}

static json_t *cups(const dw_plan_job *job, const dw_plan *plan, const dw_style *style) {
  json_t *list = json_array();
  for (size_t i = 0; i < job->n_layers; i++) {
    dw_text text = {0};
    dw__plan_cup(job, plan, i, style, &text);
    list = dw_json_and(list, lines_take(&text));
  }
  return list;
}

static json_t *molds(const dw_plan_job *job) {
  const char *names[DW_PLAN_LAYERS_MAX];
  json_t *list = json_array();
  for (size_t i = 0; i < job->n_layers; i++) names[i] = job->layer[i].name;
  for (size_t i = 0; i < job->n_molds; i++) {
    dw_text text = {0};
    dw__mold_head(&job->mold[i].mold, &text);
    dw__mold_chambers(&job->mold[i].mold, names, job->n_layers, &text);
    list = dw_json_and(list, lines_take(&text));
  }
  return list;
}

json_t *dw_json_plan_words(const dw_plan_job *job, const dw_plan *plan, const dw_style *style) {
  dw_text fills = {0}, shopping = {0};
  dw__plan_fills(job, plan, style, &fills);
  dw__plan_shopping(job, plan, style, &shopping);
  return json_pack("{s:s, s:o, s:o, s:o, s:o}", "refusal", dw__plan_refusal(plan), "fills",
                   lines_take(&fills), "cups", cups(job, plan, style), "molds", molds(job), "shopping",
                   lines_take(&shopping));
}
