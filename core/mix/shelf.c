/* A shelf: made, copied, searched, freed. */
#include "mix/shelf.h"
#include "dropwise/names.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char *const role_names[] = {"color", "brown", "white", "black", "effect"};

const char *dw_role_name(dw_role role) {
  return (size_t)role < sizeof role_names / sizeof *role_names ? role_names[role] : "color";
}

bool dw_role_find(const char *name, dw_role *out) {
  for (size_t i = 0; i < sizeof role_names / sizeof *role_names; i++) {
    if (strcmp(name, role_names[i]) != 0) continue;
    *out = (dw_role)i;
    return true;
  }
  return false;
}

dw_surface dw_surface_default(void) {
  return (dw_surface){.k1 = 0.04, .k2 = 0.60, .gap = 0};
}

dw_bottle dw_bottle_blank(const char *id, const char *title, dw_role role) {
  dw_bottle bottle = {
      .role = role, .strength = 1, .drop_ml = DW_DROP_ML_DEFAULT, .max_loading = DW_MAX_LOADING_DEFAULT};
  dw_copy_text(bottle.id, sizeof bottle.id, id);
  dw_copy_text(bottle.title, sizeof bottle.title, title);
  return bottle;
}

const char *dw_bottle_mark(const dw_bottle *bottle) {
  return bottle->origin == DW_ORIGIN_INVENTED ? " (invented)" : "";
}

dw_spectra dw__base_typical(void) {
  dw_spectra base;
  for (size_t i = 0; i < DW_BANDS; i++) {
    double nm = dw_band_nm(i);
    base.k[i] = 0.0012 + 0.0022 * exp(-(nm - 400) / 45);
    base.s[i] = 0.0060 * pow(nm / 550, -1.2);
  }
  return base;
}

dw_status dw_shelf_new(dw_shelf **out, dw_error *err) {
  dw_shelf *shelf = calloc(1, sizeof *shelf);
  if (!shelf) return dw_fail_memory(err, "the shelf");
  shelf->base = dw__base_typical();
  shelf->surface = dw_surface_default();
  *out = shelf;
  return DW_OK;
}

/* False when memory is out. A NULL source has a NULL copy. */
static bool draws_clone(const dw_spectra *draws, dw_spectra **out) {
  *out = NULL;
  if (!draws) return true;
  *out = malloc(DW_DRAWS * sizeof **out);
  if (!*out) return false;
  memcpy(*out, draws, DW_DRAWS * sizeof **out);
  return true;
}

dw_status dw_shelf_clone(const dw_shelf *shelf, dw_shelf **out, dw_error *err) {
  dw_shelf *copy = malloc(sizeof *copy);
  if (!copy) return dw_fail_memory(err, "a copy of the shelf");
  *copy = *shelf;
  bool fits = draws_clone(shelf->base_draws, &copy->base_draws);
  for (size_t i = 0; i < shelf->n; i++) fits &= draws_clone(shelf->bottle[i].draws, &copy->bottle[i].draws);
  if (!fits) {
    dw_shelf_free(copy);
    return dw_fail_memory(err, "a copy of the shelf");
  }
  *out = copy;
  return DW_OK;
}

void dw_shelf_free(dw_shelf *shelf) {
  if (!shelf) return;
  free(shelf->base_draws);
  for (size_t i = 0; i < shelf->n; i++) free(shelf->bottle[i].draws);
  free(shelf);
}

const char *dw_shelf_warning(const dw_shelf *shelf) {
  size_t invented = 0, at_hand = 0;
  for (size_t i = 0; i < shelf->n; i++) {
    at_hand += !shelf->bottle[i].off_shelf;
    invented += !shelf->bottle[i].off_shelf && shelf->bottle[i].origin == DW_ORIGIN_INVENTED;
  }
  if (invented == 0) return NULL;
  return invented == at_hand
             ? "The bottles on the shelf are invented, so these drops are a rough guide."
             : "Some bottles on the shelf are invented, so drops of these are a rough guide.";
}

void dw_bottle_lack_words(const char *bottles, bool has_chips, char *out, size_t room) {
  snprintf(out, room,
           has_chips
               ? "%.60s: in no recipe before its chips are fitted (dropwise bottle fit)."
               : "%.60s: in no recipe without chips. Pour chips of 0.5, 2 and 8 drops per fl oz, 3 mm thick, "
                 "and read each over black and over white.",
           bottles);
}

int dw_shelf_find(const dw_shelf *shelf, const char *id) {
  for (size_t i = 0; i < shelf->n; i++)
    if (strcmp(shelf->bottle[i].id, id) == 0) return (int)i;
  return -1;
}

dw_status dw_shelf_lacks(const dw_shelf *shelf, const char *id, dw_error *err) {
  dw_nearest nearest = {.word = id};
  char meant[DW_NEAREST_WORDS_ROOM];
  for (size_t i = 0; i < shelf->n; i++) dw_nearest_offer(&nearest, shelf->bottle[i].id);
  dw_nearest_words(&nearest, meant);
  return dw_fail(err, DW_USAGE, "There is no bottle \"%.60s\" on the shelf.%s", id,
                 shelf->n == 0 ? " The shelf is empty." : meant);
}
