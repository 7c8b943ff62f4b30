/* The shelf as JSON (docs/file-formats.md#shelf). */
#include "dropwise/json.h"
#include "mix/shelf.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { SHELF_FORMAT = 1 };
#define SPECTRUM_MOST 1e4 /* per mm */

/* ---- writing ------------------------------------------------------------------------------------------- */

static json_t *numbers_write(const double *x, size_t n) {
  json_t *array = json_array();
  for (size_t i = 0; array && i < n; i++) {
    if (json_array_append_new(array, json_real(x[i])) == 0) continue;
    json_decref(array);
    array = NULL;
  }
  return array;
}

static json_t *spectra_write(const dw_spectra *spectra) {
  return json_pack("{s:o, s:o}", "k", numbers_write(spectra->k, DW_BANDS), "s",
                   numbers_write(spectra->s, DW_BANDS));
}

/* Adds the spectra, and the draws where there are any, to object; -1 when memory is out. */
static int spectra_add(json_t *object, const dw_spectra *spectra, const dw_spectra *draws) {
  int failed = json_object_set_new(object, "spectra", spectra_write(spectra));
  if (!draws || failed) return failed;
  json_t *array = json_array();
  if (json_object_set_new(object, "draws", array)) return -1;
  for (size_t i = 0; i < DW_DRAWS; i++) failed |= json_array_append_new(array, spectra_write(&draws[i]));
  return failed;
}

static json_t *bottle_write(const dw_bottle *bottle) {
  json_t *object = json_pack("{s:s, s:s, s:s, s:s, s:f, s:f, s:f, s:f}", "id", bottle->id, "title",
                             bottle->title, "role", dw_role_name(bottle->role), "origin",
                             bottle->origin == DW_ORIGIN_FITTED ? "fitted" : "invented", "strength",
                             bottle->strength, "strength_sd", bottle->strength_sd, "drop_ml", bottle->drop_ml,
                             "max_loading", bottle->max_loading);
  if (object && spectra_add(object, &bottle->spectra, bottle->draws)) {
    json_decref(object);
    object = NULL;
  }
  return object;
}

static json_t *shelf_write(const dw_shelf *shelf) {
  json_t *base = json_object(), *bottles = json_array();
  int failed = spectra_add(base, &shelf->base, shelf->base_draws);
  for (size_t i = 0; i < shelf->n; i++)
    failed |= json_array_append_new(bottles, bottle_write(&shelf->bottle[i]));
  /* "o" takes base and bottles over, NULL ones and a failing pack included. */
  json_t *root =
      json_pack("{s:i, s:{s:f, s:i}, s:{s:f, s:f, s:f}, s:o, s:o}", "dropwise_shelf", SHELF_FORMAT, "bands",
                "first_nm", dw_band_nm(0), "count", DW_BANDS, "surface", "k1", shelf->surface.k1, "k2",
                shelf->surface.k2, "gap", shelf->surface.gap, "base", base, "bottles", bottles);
  if (root && failed) {
    json_decref(root);
    root = NULL;
  }
  return root;
}

dw_status dw_shelf_write(const dw_shelf *shelf, char **out, dw_error *err) {
  json_t *root = shelf_write(shelf);
  char *text = root ? dw_json_write(root, JSON_REAL_PRECISION(17)) : NULL;
  json_decref(root);
  if (!text)
    return dw_fail(
        err, DW_NO_MEMORY,
        "The shelf can't be written: there is not enough memory, or a number in it is not finite.");
  *out = text;
  return DW_OK;
}

/* ---- parsing ------------------------------------------------------------------------------------------- */

/* Where we are, for messages: "shelf.json: bottle \"orange\"". */
typedef struct place {
  const char *file;
  char at[DW_ID_ROOM + 16];
  dw_error *err;
} place;

static dw_status wrong(const place *p, const char *what) {
  return dw_fail(p->err, DW_BAD_INPUT, "%s: %s%s%s", p->file, p->at, p->at[0] ? ": " : "", what);
}

static dw_status number_parse(const json_t *object, const char *key, double min, double max, double *out,
                              const place *p) {
  const json_t *value = json_object_get(object, key);
  double x = json_number_value(value);
  if (!json_is_number(value) || !(x >= min && x <= max)) {
    char what[160];
    snprintf(what, sizeof what, "\"%s\" must be a number from %g to %g", key, min, max);
    return wrong(p, what);
  }
  *out = x;
  return DW_OK;
}

static dw_status bands_parse(const json_t *object, const char *key, double out[DW_BANDS], const place *p) {
  const json_t *array = json_object_get(object, key);
  char what[160];
  snprintf(what, sizeof what, "\"%s\" must be %d numbers from 0 to %g, one per band", key, DW_BANDS,
           SPECTRUM_MOST);
  if (!json_is_array(array) || json_array_size(array) != DW_BANDS) return wrong(p, what);
  for (size_t i = 0; i < DW_BANDS; i++) {
    const json_t *value = json_array_get(array, i);
    out[i] = json_number_value(value);
    if (!json_is_number(value) || !(out[i] >= 0 && out[i] <= SPECTRUM_MOST)) return wrong(p, what);
  }
  return DW_OK;
}

static dw_status spectra_parse(const json_t *object, dw_spectra *out, const place *p) {
  dw_status status = bands_parse(object, "k", out->k, p);
  return status == DW_OK ? bands_parse(object, "s", out->s, p) : status;
}

/* "spectra" and, where present, "draws". *draws is NULL or owned by the caller, on errors too. */
static dw_status spectra_and_draws_parse(const json_t *object, dw_spectra *spectra, dw_spectra **draws,
                                         const place *p) {
  const json_t *array = json_object_get(object, "draws");
  *draws = NULL;
  dw_status status = spectra_parse(json_object_get(object, "spectra"), spectra, p);
  if (status != DW_OK || !array) return status;
  if (!json_is_array(array) || json_array_size(array) != DW_DRAWS) {
    char what[96];
    snprintf(what, sizeof what, "\"draws\" must hold %d spectra, or be left out", DW_DRAWS);
    return wrong(p, what);
  }
  *draws = malloc(DW_DRAWS * sizeof **draws);
  if (!*draws) return dw_fail_memory(p->err, "the shelf");
  for (size_t i = 0; i < DW_DRAWS && status == DW_OK; i++)
    status = spectra_parse(json_array_get(array, i), &(*draws)[i], p);
  return status;
}

static dw_status bottle_names_parse(const json_t *object, const dw_shelf *shelf, dw_bottle *out, place *p) {
  const char *id = json_string_value(json_object_get(object, "id"));
  const char *title = json_string_value(json_object_get(object, "title"));
  const char *role = json_string_value(json_object_get(object, "role"));
  const char *origin = json_string_value(json_object_get(object, "origin"));
  if (!id || !dw_id_valid(id)) return wrong(p, "\"id\" must be 1 to 47 characters of a-z, 0-9, - and _");
  snprintf(p->at, sizeof p->at, "bottle \"%s\"", id);
  if (dw_shelf_find(shelf, id) >= 0) return wrong(p, "its id stands twice");
  if (!title || strlen(title) >= DW_TITLE_ROOM)
    return wrong(p, "\"title\" must be a text of at most 95 bytes");
  *out = dw_bottle_blank(id, title, DW_ROLE_COLOR);
  if (!role || !dw_role_find(role, &out->role))
    return wrong(p, "\"role\" must be color, brown, white, black or effect");
  if (!origin || (strcmp(origin, "fitted") != 0 && strcmp(origin, "invented") != 0))
    return wrong(p, "\"origin\" must be fitted or invented");
  out->origin = strcmp(origin, "fitted") == 0 ? DW_ORIGIN_FITTED : DW_ORIGIN_INVENTED;
  return DW_OK;
}

static dw_status bottle_numbers_parse(const json_t *object, dw_bottle *out, const place *p) {
  dw_status status = number_parse(object, "strength", 1e-3, 1e3, &out->strength, p);
  if (status == DW_OK) status = number_parse(object, "strength_sd", 0, 5, &out->strength_sd, p);
  if (status == DW_OK)
    status = number_parse(object, "drop_ml", DW_DROP_ML_MIN, DW_DROP_ML_MAX, &out->drop_ml, p);
  if (status == DW_OK)
    status = number_parse(object, "max_loading", 1e-3, DW_AMOUNT_MAX, &out->max_loading, p);
  return status;
}

/* Appends one bottle; on errors too the shelf owns what was allocated. */
static dw_status bottle_parse(const json_t *object, dw_shelf *shelf, place *p) {
  dw_bottle bottle = {0};
  snprintf(p->at, sizeof p->at, "bottle %zu", shelf->n + 1);
  dw_status status = bottle_names_parse(object, shelf, &bottle, p);
  if (status == DW_OK) status = bottle_numbers_parse(object, &bottle, p);
  if (status == DW_OK) status = spectra_and_draws_parse(object, &bottle.spectra, &bottle.draws, p);
  shelf->bottle[shelf->n++] = bottle;
  return status;
}

static dw_status head_parse(const json_t *root, dw_shelf *shelf, place *p) {
  const json_t *format = json_object_get(root, "dropwise_shelf"), *bands = json_object_get(root, "bands");
  double first = 0, count = 0;
  if (!json_is_integer(format)) return wrong(p, "this is not a shelf: \"dropwise_shelf\" is missing");
  if (json_integer_value(format) != SHELF_FORMAT)
    return wrong(p, "this shelf is of another format version: write it again with the program that reads it");
  dw_status status = number_parse(bands, "first_nm", 0, 1e4, &first, p);
  if (status == DW_OK) status = number_parse(bands, "count", 1, 1e4, &count, p);
  if (status != DW_OK) return status;
  if (fabs(first - dw_band_nm(0)) > 1e-6 || fabs(count - DW_BANDS) > 1e-6)
    return wrong(p, "its spectra have other bands than this program was built for");
  const json_t *surface = json_object_get(root, "surface");
  status = number_parse(surface, "k1", 0, 0.5, &shelf->surface.k1, p);
  if (status == DW_OK) status = number_parse(surface, "k2", 0, 0.95, &shelf->surface.k2, p);
  if (status == DW_OK) status = number_parse(surface, "gap", 0, 1, &shelf->surface.gap, p);
  return status;
}

static dw_status bottles_parse(const json_t *root, dw_shelf *shelf, place *p) {
  const json_t *bottles = json_object_get(root, "bottles");
  dw_status status = DW_OK;
  if (!json_is_array(bottles) || json_array_size(bottles) > DW_SHELF_MAX) {
    char what[96];
    snprintf(what, sizeof what, "\"bottles\" must be a list of at most %d", DW_SHELF_MAX);
    return wrong(p, what);
  }
  for (size_t i = 0; i < json_array_size(bottles) && status == DW_OK; i++)
    status = bottle_parse(json_array_get(bottles, i), shelf, p);
  return status;
}

dw_status dw_shelf_parse(const char *text, size_t n, const char *name, dw_shelf **out, dw_error *err) {
  dw_shelf *shelf = NULL;
  place p = {.file = name, .err = err};
  if (n > DW_SHELF_BYTES_MAX)
    return dw_fail(err, DW_TOO_LARGE, "%s: a shelf of more than 64 MiB is refused", name);
  json_t *root = NULL;
  dw_status status = dw_json_parse(text, n, name, &root, err);
  if (status == DW_OK) status = dw_shelf_new(&shelf, err);
  if (status == DW_OK) status = head_parse(root, shelf, &p);
  if (status == DW_OK) {
    snprintf(p.at, sizeof p.at, "base");
    status = spectra_and_draws_parse(json_object_get(root, "base"), &shelf->base, &shelf->base_draws, &p);
  }
  if (status == DW_OK) status = bottles_parse(root, shelf, &p);
  if (status == DW_OK)
    *out = shelf;
  else
    dw_shelf_free(shelf);
  json_decref(root);
  return status;
}
