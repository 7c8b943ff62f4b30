#include "app/values.h"

#include <math.h>
#include <string.h>

static bool absent(const json_t *value) {
  return !value || json_is_null(value);
}

dw_status dw__number_of(const json_t *object, const char *key, double min, double max, double fallback,
                        double *out, dw_error *err) {
  const json_t *value = json_object_get(object, key);
  *out = fallback;
  if (absent(value)) return DW_OK;
  *out = json_number_value(value);
  if (json_is_number(value) && *out >= min && *out <= max) return DW_OK;
  return dw_fail(err, DW_USAGE, "\"%s\" must be a number from %g to %g.", key, min, max);
}

dw_status dw__whole_of(const json_t *object, const char *key, int64_t min, int64_t max, int64_t fallback,
                       int64_t *out, dw_error *err) {
  const json_t *value = json_object_get(object, key);
  *out = fallback;
  if (absent(value)) return DW_OK;
  *out = json_integer_value(value);
  if (json_is_integer(value) && *out >= min && *out <= max) return DW_OK;
  return dw_fail(err, DW_USAGE, "\"%s\" must be a whole number, at least %lld.", key, (long long)min);
}

dw_status dw__text_of(const json_t *object, const char *key, bool required, const char **out, dw_error *err) {
  const json_t *value = json_object_get(object, key);
  *out = NULL;
  if (absent(value) && !required) return DW_OK;
  *out = json_string_value(value);
  return *out ? DW_OK : dw_fail(err, DW_USAGE, "\"%s\" must be a text.", key);
}

dw_status dw__sha_of(const json_t *object, const char *key, const char **out, dw_error *err) {
  *out = json_string_value(json_object_get(object, key));
  if (*out && strlen(*out) == 64 && strspn(*out, "0123456789abcdef") == 64) return DW_OK;
  return dw_fail(err, DW_USAGE, "\"%s\" must be the id of a photo.", key);
}

dw_status dw__lab_of(const json_t *value, const char *key, dw_lab *out, dw_error *err) {
  double v[3] = {0};
  bool fine = json_array_size(value) == 3;
  for (size_t i = 0; i < 3 && fine; i++) {
    const json_t *one = json_array_get(value, i);
    fine = json_is_number(one);
    v[i] = json_number_value(one);
  }
  fine = fine && v[0] >= 0 && v[0] <= 100 && fabs(v[1]) <= 200 && fabs(v[2]) <= 200;
  if (!fine) return dw_fail(err, DW_USAGE, "\"%s\" must be a Lab color: [L, a, b].", key);
  *out = (dw_lab){v[0], v[1], v[2]};
  return DW_OK;
}

dw_status dw__drops_of(const json_t *object, const dw_shelf *shelf, dw_recipe *out, dw_error *err) {
  const char *id;
  json_t *value;
  *out = (dw_recipe){0};
  if (!absent(object) && !json_is_object(object))
    return dw_fail(err, DW_USAGE, "Drops must be an object, as in {\"orange\": 12}.");
  json_object_foreach((json_t *)(uintptr_t)object, id, value) {
    int bottle = dw_shelf_find(shelf, id);
    double drops = json_number_value(value);
    if (bottle < 0) return dw_shelf_lacks(shelf, id, err);
    if (!json_is_number(value) || !(drops >= 0 && drops <= DW_AMOUNT_MAX))
      return dw_fail(err, DW_USAGE, "The drops of \"%.60s\" must be a number from 0 to %d.", id,
                     DW_AMOUNT_MAX);
    if (drops > 0 && !dw_recipe_add(out, (size_t)bottle, drops))
      return dw_fail(err, DW_USAGE, "A cup can hold at most %d bottles' drops.", DW_CUP_BOTTLES_MAX);
  }
  return DW_OK;
}

dw_status dw__slab_of(const json_t *object, dw_slab *out, dw_error *err) {
  const json_t *over = json_object_get(object, "over");
  *out = (dw_slab){0, DW_BACKING_GRAY};
  if (!absent(object) && !json_is_object(object))
    return dw_fail(err, DW_USAGE, "\"slab\" must be an object, as in {\"thickness_mm\": 10}.");
  dw_status status = dw__number_of(object, "thickness_mm", 0.05, 100, 10, &out->thickness_mm, err);
  if (status != DW_OK || absent(over)) return status;
  if (json_is_string(over)) return dw_backing_parse(json_string_value(over), &out->backing, err);
  return dw__number_of(object, "over", 0, 1, DW_BACKING_GRAY, &out->backing, err);
}

dw_status dw__cup_of(const json_t *object, const dw_shelf *shelf, dw_cup *out, dw_error *err) {
  *out = (dw_cup){0};
  dw_status status = dw__number_of(object, "volume_floz", 0.01, 1000, 4, &out->volume_floz, err);
  if (status == DW_OK)
    status =
        dw__number_of(object, "capacity_floz", 0.01, 2000, 1.25 * out->volume_floz, &out->capacity_floz, err);
  if (status == DW_OK) status = dw__drops_of(json_object_get(object, "drops"), shelf, &out->drops, err);
  return status;
}

dw_status dw__marks_of(const json_t *object, dw_marks *out, dw_error *err) {
  *out = (dw_marks){0};
  if (absent(object)) return DW_OK;
  const char *set = json_string_value(json_object_get(json_object_get(object, "card"), "set"));
  if (set && !dw_card_named(set)) return dw_fail(err, DW_USAGE, "The bench knows no card \"%.40s\".", set);
  return dw__marks_from_json(object, "The request", NULL, out, err);
}

dw_status dw__cups_check(const json_t *cups, const dw_shelf *shelf, dw_error *err) {
  size_t i;
  json_t *cup;
  if (!json_is_array(cups) || json_array_size(cups) > DW_LAYERS_MAX)
    return dw_fail(err, DW_USAGE, "\"cups\" must be an array of at most %d cups.", DW_LAYERS_MAX);
  json_array_foreach(cups, i, cup) {
    const json_t *measured = json_object_get(cup, "measured"), *log = json_object_get(cup, "log");
    const char *layer;
    double doubt;
    dw_lab lab;
    dw_cup holds;
    dw_status status = dw__text_of(cup, "layer", true, &layer, err);
    if (status == DW_OK) status = dw__cup_of(cup, shelf, &holds, err);
    if (status == DW_OK && !absent(measured)) status = dw__lab_of(measured, "measured", &lab, err);
    if (status == DW_OK) status = dw__number_of(cup, "measured_uncertainty_de00", 0, 100, 0, &doubt, err);
    if (status == DW_OK && !absent(log) && !json_is_array(log))
      status = dw_fail(err, DW_USAGE, "\"log\" must be an array.");
    if (status != DW_OK) return status;
  }
  return DW_OK;
}
