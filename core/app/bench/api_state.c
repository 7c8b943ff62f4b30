/* What the page begins with, and pairing. */
#include "app/bench/server.h"

#include <string.h>

enum { SWATCHES = 3 };
static const double swatch_loadings[SWATCHES] = {0.5, 2, 8};

pt_status pt__shelf_get(pt_bench *bench, pt_shelf **out, pt_error *err) {
  (void)bench;
  return pt_shelf_starter(out, err);
}

static json_t *swatches_json(const pt_shelf *shelf, size_t bottle) {
  pt_slab slab = {3, PT_BACKING_WHITE};
  json_t *list = json_array();
  for (size_t i = 0; i < SWATCHES; i++) {
    pt_recipe one = {1, {{bottle, swatch_loadings[i]}}};
    pt_prediction p;
    if (pt_predict(shelf, &one, &slab, &p, NULL) != PT_OK) continue;
    json_array_append_new(list,
                          json_pack("{s:f, s:o, s:o}", "loading", swatch_loadings[i], "lab",
                                    pt_json_lab(p.lab), "see_through", pt_json_round(p.see_through, 3)));
  }
  return list;
}

static json_t *bottle_json(const pt_shelf *shelf, size_t i) {
  static const char *const roles[] = {"color", "brown", "white", "black", "effect"};
  const pt_bottle *b = &shelf->bottle[i];
  return json_pack("{s:s, s:s, s:s, s:f, s:o, s:o, s:s, s:f, s:o}", "id", b->id, "title", b->title, "role",
                   roles[b->role], "drop_ml", b->drop_ml, "strength", pt_json_round(b->strength, 3),
                   "strength_sd", pt_json_round(b->strength_sd, 3), "learned", "", "max_loading",
                   b->max_loading, "swatches", swatches_json(shelf, i));
}

static json_t *shelf_json(const pt_shelf *shelf) {
  json_t *bottles = json_array();
  bool invented = false;
  for (size_t i = 0; i < shelf->n; i++) {
    json_array_append_new(bottles, bottle_json(shelf, i));
    invented = invented || shelf->bottle[i].origin == PT_ORIGIN_INVENTED;
  }
  return json_pack("{s:b, s:o}", "invented", invented, "bottles", bottles);
}

static json_t *cautions_json(void) {
  json_t *list = json_array();
  for (size_t i = 0; i < pt_caution_count; i++) json_array_append_new(list, json_string(pt_cautions[i]));
  return list;
}

static json_t *plugins_json(const pt_plugins *plugins) {
  json_t *list = json_array();
  for (size_t i = 0; i < plugins->n; i++) {
    const pt_plugin_entry_info *e = &plugins->entry[i];
    json_array_append_new(list, json_pack("{s:s, s:s, s:b, s:s}", "id", e->id, "title", e->title, "usable",
                                          e->usable, "why", e->why));
  }
  return list;
}

pt_status pt__state_get(pt__exchange *x, pt_error *err) {
  pt_shelf *shelf = NULL;
  pt_status status = pt__shelf_get(x->bench, &shelf, err);
  if (status != PT_OK) return status;
  x->json = json_pack("{s:s, s:s, s:b, s:o, s:[], s:o, s:o, s:n, s:[]}", "version", PT_VERSION, "units",
                      x->bench->units == PT_UNITS_METRIC ? "metric" : "us", "paired", 1, "cautions",
                      cautions_json(), "patterns", "shelf", shelf_json(shelf), "plugins",
                      plugins_json(&x->bench->plugins), "work", "works");
  pt_shelf_free(shelf);
  return x->json ? PT_OK : pt_fail_memory(err, "the state");
}

pt_status pt__pair_post(pt__exchange *x, pt_error *err) {
  char token[PT__TOKEN_DIGITS + 1];
  const char *code = json_string_value(json_object_get(x->body, "code"));
  if (!code) return pt_fail(err, PT_USAGE, "\"code\" must be the six digits that the terminal shows.");
  x->json = json_pack("{s:b}", "paired", 1);
  if (!x->bench->guard.lan || x->token_fine) return PT_OK;
  pt_status status = pt__guard_pair(&x->bench->guard, code, token, err);
  if (status != PT_OK) {
    json_decref(x->json);
    x->json = NULL;
    x->status = MHD_HTTP_UNAUTHORIZED;
    return status;
  }
  snprintf(x->cookie, sizeof x->cookie,
           "pourtone_token=%s; HttpOnly; SameSite=Strict; Path=/; Max-Age=2592000", token);
  return PT_OK;
}
