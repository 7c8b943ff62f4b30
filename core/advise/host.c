/* What a plugin may ask the host: callbacks over a case. They run in the child, beside the plugin. */
#include "advise/prepare.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

_Static_assert((int)DW_BOTTLE_BROWN == (int)DW_ROLE_BROWN && (int)DW_BOTTLE_EFFECT == (int)DW_ROLE_EFFECT,
               "roles have the same numbers on both sides");
_Static_assert((int)DW_PLUGIN_BOTTLES_MAX == (int)DW_SHELF_MAX, "a shelf fits a request");
_Static_assert((int)DW_PLUGIN_LIMIT_NONE == (int)DW_LIMIT_NONE &&
                   (int)DW_PLUGIN_LIMIT_HUE == (int)DW_LIMIT_HUE &&
                   (int)DW_PLUGIN_LIMIT_WORTH == (int)DW_LIMIT_WORTH,
               "limits have the same numbers on both sides");

static bool lab_finite(dw_lab lab) {
  return isfinite(lab.L) && isfinite(lab.a) && isfinite(lab.b);
}

/* ---- predict ---------------------------------------------------------------------------------------- */

bool dw__host_recipe(const dw__case *c, const dw_addition *add, uint32_t n, dw_recipe *out) {
  *out = (dw_recipe){0};
  if (n > DW_PLUGIN_ADDS_MAX || (n && !add)) return false;
  for (uint32_t i = 0; i < n; i++) {
    bool sound = add[i].bottle < c->view.n_bottles && add[i].drops >= 0 && add[i].drops <= DW_AMOUNT_MAX;
    if (!sound || !dw_recipe_add(out, add[i].bottle, add[i].drops)) return false;
  }
  return true;
}

static int32_t host_predict(void *ctx, uint32_t layer, const dw_addition *add, uint32_t n,
                            double add_clear_floz, dw_lab *lab, double *see_through) {
  const dw__case *c = ctx;
  dw_recipe recipe;
  dw_prediction p;
  if (layer >= c->view.n_layers || !(add_clear_floz >= 0) || !isfinite(add_clear_floz))
    return DW_PLUGIN_ERROR;
  if (!dw__host_recipe(c, add, n, &recipe)) return DW_PLUGIN_ERROR;
  if (!dw__case_fits(c, layer, &recipe, add_clear_floz, (dw__reason){NULL, 0})) return DW_PLUGIN_NOTHING;
  if (dw__case_predict(c, layer, &recipe, add_clear_floz, &p, NULL) != DW_OK) return DW_PLUGIN_ERROR;
  if (lab) *lab = p.lab;
  if (see_through) *see_through = p.see_through;
  return DW_PLUGIN_OK;
}

/* ---- solve ------------------------------------------------------------------------------------------ */

#define AIM_SIZE_1_0 (offsetof(dw_plugin_aim, clear_base) + sizeof(int32_t))

/* The plugin's aim as this host knows it: what a shorter one lacks is 0, what a longer one has more is left.
 */
static bool aim_take(const dw_plugin_aim *aim, dw_plugin_aim *out) {
  *out = (dw_plugin_aim){0};
  if (!aim || aim->struct_size < AIM_SIZE_1_0) return false;
  memcpy(out, aim, aim->struct_size < sizeof *out ? aim->struct_size : sizeof *out);
  return true;
}

static bool aim_sound(const dw_plugin_aim *aim) {
  const double weights[] = {aim->weight_lightness, aim->weight_chroma, aim->weight_hue,
                            aim->weight_see_through};
  if (!lab_finite(aim->target) || !isfinite(aim->see_through)) return false;
  for (size_t i = 0; i < sizeof weights / sizeof *weights; i++)
    if (!(weights[i] >= 0 && weights[i] <= 300)) return false;
  return aim->weight_see_through == 0 || (aim->see_through >= 0 && aim->see_through <= 1);
}

static dw_aim aim_from(const dw_plugin_aim *aim) {
  bool plain = aim->weight_lightness == 1 && aim->weight_chroma == 1 && aim->weight_hue == 1;
  dw_aim_kind kind = aim->weight_see_through > 0 ? DW_AIM_SEE_THROUGH : plain ? DW_AIM_NEAREST : DW_AIM_DULL;
  return (dw_aim){.kind = kind,
                  .target = aim->target,
                  .weight_lightness = aim->weight_lightness,
                  .weight_chroma = aim->weight_chroma,
                  .weight_hue = aim->weight_hue,
                  .see_through = aim->see_through,
                  .weight_see_through = aim->weight_see_through};
}

/* The layer's rules narrowed by the aim. */
static dw_rules rules_from(const dw__case *c, uint32_t layer, const dw_plugin_aim *aim) {
  dw_rules rules = c->rules[layer];
  size_t bottles = c->cup[layer].drops.n + aim->max_new_bottles;
  if (bottles < rules.max_bottles) rules.max_bottles = bottles;
  if (!aim->clear_base) rules.max_clear_floz = 0;
  for (size_t i = 0; aim->use && i < c->view.n_bottles; i++)
    if (!aim->use[i]) rules.use[i] = DW_USE_NEVER;
  return rules;
}

/* Solves and notes what limits. DW_PLUGIN_NOTHING where nothing may be added, or to add nothing is best. */
static int32_t solve(dw__case *c, uint32_t layer, const dw_plugin_aim *aim, dw_solution *out) {
  dw_solution s = {0};
  dw_rules rules = rules_from(c, layer, aim);
  dw_aim host_aim = aim_from(aim);
  const dw_cup *cup = &c->cup[layer];
  dw_status status = DW_OK;
  if (c->request->chroma_share > 0 || aim->free_see_through)
    dw_correction_rules(cup, &rules);
  else
    status = dw_correction_prepare(c->request->shelf, cup, &c->request->slab, &host_aim, &rules, NULL);
  c->lacked |= status == DW_NO_MEMORY;
  if (status != DW_OK) return DW_PLUGIN_ERROR;
  status = dw_solve(c->request->shelf, cup, &c->request->slab, &host_aim, &rules, &s, NULL);
  c->lacked |= status == DW_NO_MEMORY;
  if (status == DW_BAD_INPUT) { /* cup and aim are sound, so: no bottle is free to add from */
    c->limit = DW_PLUGIN_LIMIT_SET_ASIDE;
    dw_copy_text(c->limit_words, sizeof c->limit_words, "No bottle may be added from, and no clear base.");
    return DW_PLUGIN_NOTHING;
  }
  if (status != DW_OK) return DW_PLUGIN_ERROR;
  c->limit = (int32_t)s.limit;
  dw_copy_text(c->limit_words, sizeof c->limit_words, s.limit_words);
  *out = s;
  return s.add.n == 0 && !(s.add_clear_floz > 0) ? DW_PLUGIN_NOTHING : DW_PLUGIN_OK;
}

static int32_t host_solve(void *ctx, uint32_t layer, const dw_plugin_aim *asked, dw_addition *add,
                          uint32_t *n, double *add_clear_floz) {
  dw__case *c = ctx;
  dw_solution s;
  dw_plugin_aim aim;
  if (layer >= c->view.n_layers || !add || !n || !aim_take(asked, &aim) || !aim_sound(&aim))
    return DW_PLUGIN_ERROR;
  if (!add_clear_floz && aim.clear_base) return DW_PLUGIN_ERROR;
  const int32_t status = solve(c, layer, &aim, &s);
  if (status != DW_PLUGIN_OK) return status;
  if (s.add.n > *n) return DW_PLUGIN_ERROR;
  for (size_t i = 0; i < s.add.n; i++)
    add[i] = (dw_addition){(uint32_t)s.add.part[i].bottle, s.add.part[i].amount};
  *n = (uint32_t)s.add.n;
  if (add_clear_floz) *add_clear_floz = s.add_clear_floz;
  return DW_PLUGIN_OK;
}

#define SOLUTION_SIZE_1_1 sizeof(dw_plugin_solution)

/* Fills what the plugin's struct has room for. */
static int32_t host_solution(void *ctx, uint32_t layer, const dw_plugin_aim *asked, dw_plugin_solution *out) {
  dw__case *c = ctx;
  dw_solution s = {0};
  dw_plugin_aim aim;
  if (layer >= c->view.n_layers || !out || out->struct_size < SOLUTION_SIZE_1_1) return DW_PLUGIN_ERROR;
  if (!aim_take(asked, &aim) || !aim_sound(&aim)) return DW_PLUGIN_ERROR;
  const int32_t status = solve(c, layer, &aim, &s);
  if (status == DW_PLUGIN_ERROR || s.add.n > DW_PLUGIN_ADDS_MAX) return DW_PLUGIN_ERROR;
  dw_plugin_solution solution = {.struct_size = out->struct_size,
                                 .n = (uint32_t)s.add.n,
                                 .add_clear_floz = s.add_clear_floz,
                                 .predicted = status == DW_PLUGIN_OK ? s.predicted.lab : c->layer[layer].now,
                                 .see_through = s.predicted.see_through,
                                 .limit = c->limit};
  for (size_t i = 0; i < s.add.n; i++)
    solution.add[i] = (dw_addition){(uint32_t)s.add.part[i].bottle, s.add.part[i].amount};
  if (status == DW_PLUGIN_NOTHING) solution.see_through = c->layer[layer].see_through;
  solution.left_de00 = dw_de00(solution.predicted, aim.target);
  dw_copy_text(solution.limit_words, sizeof solution.limit_words, c->limit_words);
  memcpy(out, &solution, sizeof solution);
  return status;
}

/* ---- words ------------------------------------------------------------------------------------------ */

static double host_difference(void *ctx, dw_lab from, dw_lab to, char *words, uint32_t room) {
  (void)ctx;
  if (!lab_finite(from) || !lab_finite(to)) return NAN;
  if (words && room) dw_difference_words(from, to, words, room);
  return dw_de00(from, to);
}

static int32_t host_limit(void *ctx, char *words, uint32_t room) {
  const dw__case *c = ctx;
  if (words && room) dw_copy_text(words, room, c->limit_words);
  return c->limit;
}

/* ---- tone ------------------------------------------------------------------------------------------- */

static int32_t host_tone(void *ctx, uint32_t layer, dw_lab color, double *de00) {
  const dw__case *c = ctx;
  if (layer >= c->view.n_layers || !lab_finite(color)) return DW_PLUGIN_ERROR;
  const dw_layer *of = &c->request->layer[layer];
  dw_tone_spot spot = {.inside = true};
  if (of->has_tone) dw_tone_place(&of->tone, color, &spot);
  if (de00) *de00 = spot.away_de00;
  return !of->has_tone ? DW_PLUGIN_TONE_NONE : spot.inside ? DW_PLUGIN_TONE_INSIDE : DW_PLUGIN_TONE_OUTSIDE;
}

void dw__host_make(dw__case *c, dw_host *host) {
  *host = (dw_host){.struct_size = sizeof *host,
                    .abi_major = DW_ABI_MAJOR,
                    .abi_minor = DW_ABI_MINOR,
                    .ctx = c,
                    .predict = host_predict,
                    .solve = host_solve,
                    .difference = host_difference,
                    .limit = host_limit,
                    .solution = host_solution,
                    .tone = host_tone,
                    .blend = dw__host_blend};
}
