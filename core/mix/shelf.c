/* A shelf: made, copied, searched, freed. */
#include "mix/shelf.h"
#include "pourtone/names.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char *const role_names[] = {"color", "brown", "white", "black", "effect"};

const char *pt_role_name(pt_role role) {
  return (size_t)role < sizeof role_names / sizeof *role_names ? role_names[role] : "color";
}

bool pt_role_find(const char *name, pt_role *out) {
  for (size_t i = 0; i < sizeof role_names / sizeof *role_names; i++) {
    if (strcmp(name, role_names[i]) != 0) continue;
    *out = (pt_role)i;
    return true;
  }
  return false;
}

pt_surface pt_surface_default(void) {
  return (pt_surface){.k1 = 0.04, .k2 = 0.60, .gap = 0};
}

pt_bottle pt_bottle_blank(const char *id, const char *title, pt_role role) {
  pt_bottle bottle = {
      .role = role, .strength = 1, .drop_ml = PT_DROP_ML_DEFAULT, .max_loading = PT_MAX_LOADING_DEFAULT};
  pt_copy_text(bottle.id, sizeof bottle.id, id);
  pt_copy_text(bottle.title, sizeof bottle.title, title);
  return bottle;
}

const char *pt_bottle_mark(const pt_bottle *bottle) {
  return bottle->origin == PT_ORIGIN_INVENTED ? " (invented)" : "";
}

pt_spectra pt__base_typical(void) {
  pt_spectra base;
  for (size_t i = 0; i < PT_BANDS; i++) {
    double nm = pt_band_nm(i);
    base.k[i] = 0.0012 + 0.0022 * exp(-(nm - 400) / 45);
    base.s[i] = 0.0060 * pow(nm / 550, -1.2);
  }
  return base;
}

pt_status pt_shelf_new(pt_shelf **out, pt_error *err) {
  pt_shelf *shelf = calloc(1, sizeof *shelf);
  if (!shelf) return pt_fail_memory(err, "the shelf");
  shelf->base = pt__base_typical();
  shelf->surface = pt_surface_default();
  *out = shelf;
  return PT_OK;
}

/* False when memory is out. A NULL source has a NULL copy. */
static bool draws_clone(const pt_spectra *draws, pt_spectra **out) {
  *out = NULL;
  if (!draws) return true;
  *out = malloc(PT_DRAWS * sizeof **out);
  if (!*out) return false;
  memcpy(*out, draws, PT_DRAWS * sizeof **out);
  return true;
}

pt_status pt_shelf_clone(const pt_shelf *shelf, pt_shelf **out, pt_error *err) {
  pt_shelf *copy = malloc(sizeof *copy);
  if (!copy) return pt_fail_memory(err, "a copy of the shelf");
  *copy = *shelf;
  bool fits = draws_clone(shelf->base_draws, &copy->base_draws);
  for (size_t i = 0; i < shelf->n; i++) fits &= draws_clone(shelf->bottle[i].draws, &copy->bottle[i].draws);
  if (!fits) {
    pt_shelf_free(copy);
    return pt_fail_memory(err, "a copy of the shelf");
  }
  *out = copy;
  return PT_OK;
}

void pt_shelf_free(pt_shelf *shelf) {
  if (!shelf) return;
  free(shelf->base_draws);
  for (size_t i = 0; i < shelf->n; i++) free(shelf->bottle[i].draws);
  free(shelf);
}

const char *pt_shelf_warning(const pt_shelf *shelf) {
  size_t invented = 0;
  for (size_t i = 0; i < shelf->n; i++) invented += shelf->bottle[i].origin == PT_ORIGIN_INVENTED;
  if (invented == 0) return NULL;
  return invented == shelf->n
             ? "The bottles on the shelf are invented, so these drops are a rough guide."
             : "Some bottles on the shelf are invented, so drops of these are a rough guide.";
}

int pt_shelf_find(const pt_shelf *shelf, const char *id) {
  for (size_t i = 0; i < shelf->n; i++)
    if (strcmp(shelf->bottle[i].id, id) == 0) return (int)i;
  return -1;
}

pt_status pt_shelf_lacks(const pt_shelf *shelf, const char *id, pt_error *err) {
  pt_nearest nearest = {.word = id};
  char meant[PT_NEAREST_WORDS_ROOM];
  for (size_t i = 0; i < shelf->n; i++) pt_nearest_offer(&nearest, shelf->bottle[i].id);
  pt_nearest_words(&nearest, meant);
  return pt_fail(err, PT_USAGE, "There is no bottle \"%.60s\" on the shelf.%s", id, meant);
}
