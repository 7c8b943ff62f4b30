#include "faulty.h"
#include <stdlib.h>
#include <string.h>

/* Calls the host in every wrong way: it must say so, and neither crash nor write; and asked for a solution in one call, it
 * must say what its parts say. */
static void must(int right) {
  if (!right) abort();
}

static void predict_badly(const dw_host *host, const dw_request *request) {
  const dw_addition wrong[] = {{0, NAN}, {0, -1}, {request->n_bottles, 1}, {0, 1e300}};
  dw_lab lab = {1, 2, 3};
  for (int i = 0; i < 4; i++)
    must(host->predict(host->ctx, 0, &wrong[i], 1, 0, &lab, NULL) == DW_PLUGIN_ERROR);
  must(host->predict(host->ctx, request->n_layers, NULL, 0, 0, &lab, NULL) == DW_PLUGIN_ERROR);
  must(host->predict(host->ctx, 0, NULL, 1, 0, &lab, NULL) == DW_PLUGIN_ERROR);
  must(host->predict(host->ctx, 0, NULL, 0, -1, &lab, NULL) == DW_PLUGIN_ERROR);
  must(host->predict(host->ctx, 0, NULL, 0, INFINITY, &lab, NULL) == DW_PLUGIN_ERROR);
  must(host->predict(host->ctx, 0, wrong, UINT32_MAX, 0, &lab, NULL) == DW_PLUGIN_ERROR);
  must(lab.L == 1 && lab.a == 2 && lab.b == 3);
  must(host->predict(host->ctx, 0, NULL, 0, 0, NULL, NULL) == DW_PLUGIN_OK);
}

static void solve_badly(const dw_host *host, const dw_request *request) {
  const dw_plugin_aim good = dw_plugin_aim_at(request->layer[0].target);
  dw_plugin_aim aim = good;
  dw_addition add[DW_PLUGIN_ADDS_MAX];
  uint32_t n = DW_PLUGIN_ADDS_MAX;
  double clear = 0;
  must(host->solve(host->ctx, request->n_layers, &aim, add, &n, &clear) == DW_PLUGIN_ERROR);
  must(host->solve(host->ctx, 0, NULL, add, &n, &clear) == DW_PLUGIN_ERROR);
  must(host->solve(host->ctx, 0, &aim, NULL, &n, &clear) == DW_PLUGIN_ERROR);
  must(host->solve(host->ctx, 0, &aim, add, NULL, &clear) == DW_PLUGIN_ERROR);
  must(host->solve(host->ctx, 0, &aim, add, &n, NULL) == DW_PLUGIN_ERROR);
  aim.struct_size = 8;
  must(host->solve(host->ctx, 0, &aim, add, &n, &clear) == DW_PLUGIN_ERROR);
  aim = good, aim.target.b = NAN;
  must(host->solve(host->ctx, 0, &aim, add, &n, &clear) == DW_PLUGIN_ERROR);
  aim = good, aim.weight_hue = -1;
  must(host->solve(host->ctx, 0, &aim, add, &n, &clear) == DW_PLUGIN_ERROR);
  aim = good, aim.weight_see_through = 10, aim.see_through = 7;
  must(host->solve(host->ctx, 0, &aim, add, &n, &clear) == DW_PLUGIN_ERROR);
  must(n == DW_PLUGIN_ADDS_MAX && clear == 0);
}

static void solution_badly(const dw_host *host, const dw_request *request) {
  dw_plugin_aim aim = dw_plugin_aim_at(request->layer[0].target);
  dw_plugin_solution out = {.struct_size = sizeof out, .limit = 77}, small = {.struct_size = 8};
  must(host->solution(host->ctx, request->n_layers, &aim, &out) == DW_PLUGIN_ERROR);
  must(host->solution(host->ctx, 0, NULL, &out) == DW_PLUGIN_ERROR);
  must(host->solution(host->ctx, 0, &aim, NULL) == DW_PLUGIN_ERROR);
  must(host->solution(host->ctx, 0, &aim, &small) == DW_PLUGIN_ERROR);
  aim.target.b = NAN;
  must(host->solution(host->ctx, 0, &aim, &out) == DW_PLUGIN_ERROR);
  must(out.limit == 77 && out.struct_size == sizeof out);
}

static void solution_is_its_parts(const dw_host *host) {
  dw_plugin_aim aim = dw_plugin_aim_at((dw_lab){30, 5, 8});
  dw_plugin_solution whole = {.struct_size = sizeof whole};
  dw_addition add[DW_PLUGIN_ADDS_MAX];
  uint32_t n = DW_PLUGIN_ADDS_MAX;
  double clear = 0, see_through;
  char words[sizeof whole.limit_words] = "";
  dw_lab lab;
  aim.free_see_through = 1; /* held, nothing could be added */
  must(host->solution(host->ctx, 0, &aim, &whole) == DW_PLUGIN_OK);
  must(host->solve(host->ctx, 0, &aim, add, &n, &clear) == DW_PLUGIN_OK);
  must(whole.n == n && n > 0 && whole.add_clear_floz == clear);
  for (uint32_t i = 0; i < n; i++)
    must(whole.add[i].bottle == add[i].bottle && whole.add[i].drops == add[i].drops);
  must(whole.limit == host->limit(host->ctx, words, sizeof words) && strcmp(whole.limit_words, words) == 0);
  must(host->predict(host->ctx, 0, add, n, clear, &lab, &see_through) == DW_PLUGIN_OK);
  must(host->difference(host->ctx, lab, whole.predicted, NULL, 0) < 1e-6);
  must(fabs(see_through - whole.see_through) < 1e-9);
  must(fabs(host->difference(host->ctx, lab, aim.target, NULL, 0) - whole.left_de00) < 1e-6);
}

static void blend_badly(const dw_host *host, const dw_request *request) {
  const dw_addition wrong[] = {{0, NAN}, {request->n_bottles, 1}};
  dw_plugin_blend out = {.struct_size = sizeof out, .muddy = 77}, small = {.struct_size = 8};
  must(host->blend(host->ctx, request->n_layers - 1, NULL, NULL, &out) == DW_PLUGIN_ERROR);
  must(host->blend(host->ctx, UINT32_MAX, NULL, NULL, &out) == DW_PLUGIN_ERROR);
  must(host->blend(host->ctx, 0, NULL, NULL, NULL) == DW_PLUGIN_ERROR);
  must(host->blend(host->ctx, 0, NULL, NULL, &small) == DW_PLUGIN_ERROR);
  for (int i = 0; i < 2; i++) {
    const dw_plugin_change change = {&wrong[i], 1, 0};
    must(host->blend(host->ctx, 0, &change, NULL, &out) == DW_PLUGIN_ERROR);
    must(host->blend(host->ctx, 0, NULL, &change, &out) == DW_PLUGIN_ERROR);
  }
  const dw_plugin_change sea = {NULL, 0, 1000}, negative = {NULL, 0, -1};
  must(host->blend(host->ctx, 0, &negative, NULL, &out) == DW_PLUGIN_ERROR);
  must(host->blend(host->ctx, 0, &sea, NULL, &out) == DW_PLUGIN_NOTHING);
  must(out.muddy == 77 && out.struct_size == sizeof out);
  must(host->blend(host->ctx, 0, NULL, NULL, &out) == DW_PLUGIN_OK && out.muddy == 0);
}

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  char words[8] = "";
  (void)reply;
  predict_badly(host, request);
  solve_badly(host, request);
  solution_badly(host, request);
  solution_is_its_parts(host);
  blend_badly(host, request);
  must(isnan(host->difference(host->ctx, (dw_lab){NAN, 0, 0}, (dw_lab){0, 0, 0}, words, sizeof words)));
  must(host->difference(host->ctx, (dw_lab){50, 0, 0}, (dw_lab){90, 60, 60}, NULL, 0) > 1);
  host->difference(host->ctx, (dw_lab){50, 0, 0}, (dw_lab){90, 60, 60}, words, sizeof words);
  must(words[sizeof words - 1] == '\0');
  host->limit(host->ctx, NULL, 0);
  return DW_PLUGIN_NOTHING;
}

FAULTY_PLUGIN("misuses-host", advise)
