/* The contract test of one plugin, for the command line and the tests. */
#include "advise/contract_requests.h"
#include "dropwise/plugin_check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

typedef struct test {
  const dw_plugins *plugins; /* the one */
  const dw_advice_request *request;
  const char *name; /* of the check */
  dw_plugin_watch watch;
  void *ctx;
  double limit_s;
  char *why; /* "" while nothing is wrong */
  size_t room;
} test;

/* Always false, so that `return wrong(...)` reads well. */
static bool wrong(const test *t, const char *format, ...) DW_PRINTF(2, 3);
static bool wrong(const test *t, const char *format, ...) {
  va_list args;
  va_start(args, format);
  vsnprintf(t->why, t->room, format, args);
  va_end(args);
  return false;
}

/* ---- one answer ---------------------------------------------------------------------------------------- */

static bool is_sentence(const test *t, const char *text) {
  size_t n = strlen(text);
  if (n < 10 || text[n - 1] != '.' || strchr(text, '\n'))
    return wrong(
        t, "\"%.120s\" is no sentence; one has 10 letters or more, no new line, and a full stop at its end.",
        text);
  if (strstr(text, "nan") || strstr(text, "inf "))
    return wrong(t, "\"%.160s\" shows what is no number.", text);
  return true;
}

static bool advice_sound(const test *t, const dw_advice *advice) {
  if (!is_sentence(t, advice->words)) return false;
  for (size_t i = 0; i < advice->notes.n; i++) {
    if (strstr(advice->notes.text[i], "prediction"))
      return wrong(t, "On layer %zu: %s", advice->layer + 1, advice->notes.text[i]);
    if (!is_sentence(t, advice->notes.text[i])) return false;
  }
  if (t->watch) t->watch(t->ctx, t->name, t->request, advice);
  return true;
}

static bool same_advice(const dw_advice *x, const dw_advice *y) {
  bool equal = x->layer == y->layer && x->add.n == y->add.n && x->predicted_de00 == y->predicted_de00 &&
               x->add_clear_floz == y->add_clear_floz && strcmp(x->words, y->words) == 0;
  for (size_t k = 0; equal && k < x->add.n; k++)
    equal = x->add.part[k].bottle == y->add.part[k].bottle && x->add.part[k].amount == y->add.part[k].amount;
  return equal;
}

static bool same_answer(const test *t, const dw_advice_result *a, const dw_advice_result *b) {
  bool equal = a->n == b->n;
  for (size_t i = 0; equal && i < a->n; i++) equal = same_advice(&a->advice[i], &b->advice[i]);
  return equal ||
         wrong(t, "It gives another answer the second time; the same request must get the same answer.");
}

/* ---- one request --------------------------------------------------------------------------------------- */

static bool ask(const test *t, dw_advice_result **out) {
  dw_error err = {0};
  if (dw_advise(t->request, t->plugins, out, &err) != DW_OK) return wrong(t, "%s", err.text);
  return (*out)->n_faults == 0 || wrong(t, "%s", (*out)->fault[0].why);
}

static void answer_check(const test *t) {
  dw_advice_result *first = NULL, *second = NULL;
  bool sound = ask(t, &first) && ask(t, &second) && same_answer(t, first, second);
  for (size_t i = 0; sound && i < first->n; i++) sound = advice_sound(t, &first->advice[i]);
  dw_advice_result_free(first);
  dw_advice_result_free(second);
}

typedef enum level { USUAL, LEAST, MOST, LEVELS } level;

static void numbers_set(dw_plugin_entry_info *plugin, level at) {
  for (size_t i = 0; i < plugin->n_parameters; i++) {
    dw_parameter_info *p = &plugin->parameter[i];
    p->told = true;
    p->value = at == USUAL ? p->usual : at == LEAST ? p->least : p->most;
  }
}

static dw_status request_check(size_t i, level at, test *t, dw_plugin_checks *out, dw_error *err) {
  static const char *const behind[LEVELS] = {"", ", its numbers at their least",
                                             ", its numbers at their most"};
  dw_plugin_check *check = &out->check[out->n];
  const char *id = out->plugin.id;
  dw_shelf *shelf = NULL;
  dw_advice_request *request = calloc(1, sizeof *request);
  dw_status status = request ? dw__contract_shelf(i, &shelf, err) : dw_fail_memory(err, "a request");
  if (status == DW_OK) status = dw__contract_request(i, shelf, request, err);
  if (status == DW_OK) {
    snprintf(check->name, sizeof check->name, "%s%s", dw__contract_request_name(i), behind[at]);
    request->only = &id;
    request->n_only = 1;
    request->limit_s = t->limit_s;
    t->request = request;
    t->name = check->name;
    t->why = check->why;
    t->room = sizeof check->why;
    answer_check(t);
    check->passed = !check->why[0];
    out->n_passed += check->passed;
    out->n++;
  }
  free(request);
  dw_shelf_free(shelf);
  return status;
}

/* ---- the whole ----------------------------------------------------------------------------------------- */

static void load_check(dw_plugin_checks *out) {
  dw_plugin_check *check = &out->check[out->n++];
  dw_copy_text(check->name, sizeof check->name, "it loads");
  check->passed = out->plugin.usable;
  dw_copy_text(check->why, sizeof check->why, out->plugin.why);
  out->n_passed += check->passed;
}

dw_status dw_plugin_check_file(const char *file, double limit_s, dw_plugin_watch watch, void *ctx,
                               dw_plugin_checks *out, dw_error *err) {
  *out = (dw_plugin_checks){0};
  if (access(file, F_OK) != 0) return dw_fail(err, DW_NOT_FOUND, "There is no file %.200s to check.", file);
  dw_plugins *one = calloc(1, sizeof *one);
  if (!one) return dw_fail_memory(err, "the plugin");
  test t = {.plugins = one, .watch = watch, .ctx = ctx, .limit_s = limit_s};
  dw_status status = dw_plugins_look(file, limit_s, one, err);
  if (status == DW_OK) {
    out->plugin = one->entry[0];
    load_check(out);
  }
  const size_t levels = out->plugin.n_parameters ? LEVELS : 1;
  for (size_t at = 0; status == DW_OK && out->plugin.usable && at < levels; at++) {
    numbers_set(&one->entry[0], (level)at);
    for (size_t i = 0; status == DW_OK && i < dw__contract_requests; i++)
      status = request_check(i, (level)at, &t, out, err);
  }
  free(one);
  return status;
}
