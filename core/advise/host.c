/* What a plugin may ask the host: callbacks over a case. They run in the child, beside the plugin. */
#include "advise/case.h"

#include <math.h>
#include <string.h>

_Static_assert((int)PT_BOTTLE_BROWN == (int)PT_ROLE_BROWN && (int)PT_BOTTLE_EFFECT == (int)PT_ROLE_EFFECT,
               "roles have the same numbers on both sides");
_Static_assert((int)PT_PLUGIN_BOTTLES_MAX == (int)PT_SHELF_MAX, "a shelf fits a request");
_Static_assert((int)PT_PLUGIN_LIMIT_NONE == (int)PT_LIMIT_NONE &&
                   (int)PT_PLUGIN_LIMIT_HUE == (int)PT_LIMIT_HUE &&
                   (int)PT_PLUGIN_LIMIT_SEE_THROUGH == (int)PT_LIMIT_SEE_THROUGH,
               "limits have the same numbers on both sides");

static bool lab_finite(pt_lab lab) {
  return isfinite(lab.L) && isfinite(lab.a) && isfinite(lab.b);
}

/* ---- predict ---------------------------------------------------------------------------------------- */

static bool recipe_from(const pt__case *c, const pt_addition *add, uint32_t n, pt_recipe *out) {
  *out = (pt_recipe){0};
  if (n > PT_PLUGIN_ADDS_MAX || (n && !add)) return false;
  for (uint32_t i = 0; i < n; i++) {
    bool sound = add[i].bottle < c->view.n_bottles && add[i].drops >= 0 && add[i].drops <= PT_AMOUNT_MAX;
    if (!sound || !pt_recipe_add(out, add[i].bottle, add[i].drops)) return false;
  }
  return true;
}

static int32_t host_predict(void *ctx, uint32_t layer, const pt_addition *add, uint32_t n,
                            double add_clear_floz, pt_lab *lab, double *see_through) {
  const pt__case *c = ctx;
  pt_recipe recipe;
  pt_prediction p;
  if (layer >= c->view.n_layers || !(add_clear_floz >= 0) || !isfinite(add_clear_floz))
    return PT_PLUGIN_ERROR;
  if (!recipe_from(c, add, n, &recipe)) return PT_PLUGIN_ERROR;
  if (!pt__case_fits(c, layer, &recipe, add_clear_floz, (pt__reason){NULL, 0})) return PT_PLUGIN_NOTHING;
  if (pt__case_predict(c, layer, &recipe, add_clear_floz, &p, NULL) != PT_OK) return PT_PLUGIN_ERROR;
  if (lab) *lab = p.lab;
  if (see_through) *see_through = p.see_through;
  return PT_PLUGIN_OK;
}

/* ---- solve ------------------------------------------------------------------------------------------ */

static bool aim_sound(const pt_plugin_aim *aim) {
  const double weights[] = {aim->weight_lightness, aim->weight_chroma, aim->weight_hue,
                            aim->weight_see_through};
  if (aim->struct_size < sizeof *aim || !lab_finite(aim->target) || !isfinite(aim->see_through)) return false;
  for (size_t i = 0; i < sizeof weights / sizeof *weights; i++)
    if (!(weights[i] >= 0 && weights[i] <= 300)) return false;
  return aim->weight_see_through == 0 || (aim->see_through >= 0 && aim->see_through <= 1);
}

static pt_aim aim_from(const pt_plugin_aim *aim) {
  bool plain = aim->weight_lightness == 1 && aim->weight_chroma == 1 && aim->weight_hue == 1;
  pt_aim_kind kind = aim->weight_see_through > 0 ? PT_AIM_SEE_THROUGH : plain ? PT_AIM_NEAREST : PT_AIM_DULL;
  return (pt_aim){kind,
                  aim->target,
                  aim->weight_lightness,
                  aim->weight_chroma,
                  aim->weight_hue,
                  aim->see_through,
                  aim->weight_see_through};
}

/* The layer's rules narrowed by the aim. */
static pt_rules rules_from(const pt__case *c, uint32_t layer, const pt_plugin_aim *aim) {
  pt_rules rules = c->rules[layer];
  size_t bottles = c->cup[layer].drops.n + aim->max_new_bottles;
  if (bottles < rules.max_bottles) rules.max_bottles = bottles;
  if (!aim->clear_base) rules.max_clear_floz = 0;
  for (size_t i = 0; aim->use && i < c->view.n_bottles; i++)
    if (!aim->use[i]) rules.use[i] = PT_USE_NEVER;
  return rules;
}

static int32_t host_solve(void *ctx, uint32_t layer, const pt_plugin_aim *aim, pt_addition *add, uint32_t *n,
                          double *add_clear_floz) {
  pt__case *c = ctx;
  pt_solution s;
  if (layer >= c->view.n_layers || !aim || !add || !n || !aim_sound(aim)) return PT_PLUGIN_ERROR;
  if (!add_clear_floz && aim->clear_base) return PT_PLUGIN_ERROR;
  pt_rules rules = rules_from(c, layer, aim);
  pt_aim host_aim = aim_from(aim);
  const pt_cup *cup = &c->cup[layer];
  pt_status status = pt_solve(c->request->shelf, cup, &c->request->slab, &host_aim, &rules, &s, NULL);
  if (status == PT_BAD_INPUT) { /* cup and aim are sound, so: no bottle is free to add from */
    c->limit = PT_PLUGIN_LIMIT_SET_ASIDE;
    pt_copy_text(c->limit_words, sizeof c->limit_words, "No bottle may be added from, and no clear base.");
    return PT_PLUGIN_NOTHING;
  }
  if (status != PT_OK) return PT_PLUGIN_ERROR;
  c->limit = (int32_t)s.limit;
  pt_copy_text(c->limit_words, sizeof c->limit_words, s.limit_words);
  if (s.add.n > *n) return PT_PLUGIN_ERROR;
  if (s.add.n == 0 && !(s.add_clear_floz > 0)) return PT_PLUGIN_NOTHING;
  for (size_t i = 0; i < s.add.n; i++)
    add[i] = (pt_addition){(uint32_t)s.add.part[i].bottle, s.add.part[i].amount};
  *n = (uint32_t)s.add.n;
  if (add_clear_floz) *add_clear_floz = s.add_clear_floz;
  return PT_PLUGIN_OK;
}

/* ---- words ------------------------------------------------------------------------------------------ */

static double host_difference(void *ctx, pt_lab from, pt_lab to, char *words, uint32_t room) {
  (void)ctx;
  if (!lab_finite(from) || !lab_finite(to)) return NAN;
  if (words && room) pt_difference_words(from, to, words, room);
  return pt_de00(from, to);
}

static int32_t host_limit(void *ctx, char *words, uint32_t room) {
  const pt__case *c = ctx;
  if (words && room) pt_copy_text(words, room, c->limit_words);
  return c->limit;
}

void pt__host_make(pt__case *c, pt_host *host) {
  *host = (pt_host){.struct_size = sizeof *host,
                    .abi_major = PT_ABI_MAJOR,
                    .abi_minor = PT_ABI_MINOR,
                    .ctx = c,
                    .predict = host_predict,
                    .solve = host_solve,
                    .difference = host_difference,
                    .limit = host_limit};
}
