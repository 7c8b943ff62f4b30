#include "app/values.h"

#include <math.h>
#include <string.h>

static bool absent(const json_t *value) {
  return !value || json_is_null(value);
}

pt_status pt__number_of(const json_t *object, const char *key, double min, double max, double fallback,
                        double *out, pt_error *err) {
  const json_t *value = json_object_get(object, key);
  *out = fallback;
  if (absent(value)) return PT_OK;
  *out = json_number_value(value);
  if (json_is_number(value) && *out >= min && *out <= max) return PT_OK;
  return pt_fail(err, PT_USAGE, "\"%s\" must be a number from %g to %g.", key, min, max);
}

pt_status pt__whole_of(const json_t *object, const char *key, int64_t min, int64_t max, int64_t fallback,
                       int64_t *out, pt_error *err) {
  const json_t *value = json_object_get(object, key);
  *out = fallback;
  if (absent(value)) return PT_OK;
  *out = json_integer_value(value);
  if (json_is_integer(value) && *out >= min && *out <= max) return PT_OK;
  return pt_fail(err, PT_USAGE, "\"%s\" must be a whole number, at least %lld.", key, (long long)min);
}

pt_status pt__text_of(const json_t *object, const char *key, bool required, const char **out, pt_error *err) {
  const json_t *value = json_object_get(object, key);
  *out = NULL;
  if (absent(value) && !required) return PT_OK;
  *out = json_string_value(value);
  return *out ? PT_OK : pt_fail(err, PT_USAGE, "\"%s\" must be a text.", key);
}

pt_status pt__sha_of(const json_t *object, const char *key, const char **out, pt_error *err) {
  *out = json_string_value(json_object_get(object, key));
  if (*out && strlen(*out) == 64 && strspn(*out, "0123456789abcdef") == 64) return PT_OK;
  return pt_fail(err, PT_USAGE, "\"%s\" must be the id of a photo.", key);
}

pt_status pt__lab_of(const json_t *value, const char *key, pt_lab *out, pt_error *err) {
  double v[3] = {0};
  bool fine = json_array_size(value) == 3;
  for (size_t i = 0; i < 3 && fine; i++) {
    const json_t *one = json_array_get(value, i);
    fine = json_is_number(one);
    v[i] = json_number_value(one);
  }
  fine = fine && v[0] >= 0 && v[0] <= 100 && fabs(v[1]) <= 200 && fabs(v[2]) <= 200;
  if (!fine) return pt_fail(err, PT_USAGE, "\"%s\" must be a Lab color: [L, a, b].", key);
  *out = (pt_lab){v[0], v[1], v[2]};
  return PT_OK;
}

pt_status pt__drops_of(const json_t *object, const pt_shelf *shelf, pt_recipe *out, pt_error *err) {
  const char *id;
  json_t *value;
  *out = (pt_recipe){0};
  if (!absent(object) && !json_is_object(object))
    return pt_fail(err, PT_USAGE, "Drops must be an object, as in {\"orange\": 12}.");
  json_object_foreach((json_t *)(uintptr_t)object, id, value) {
    int bottle = pt_shelf_find(shelf, id);
    double drops = json_number_value(value);
    if (bottle < 0) return pt_shelf_lacks(shelf, id, err);
    if (!json_is_number(value) || !(drops >= 0 && drops <= PT_AMOUNT_MAX))
      return pt_fail(err, PT_USAGE, "The drops of \"%.60s\" must be a number from 0 to %d.", id,
                     PT_AMOUNT_MAX);
    if (drops > 0 && !pt_recipe_add(out, (size_t)bottle, drops))
      return pt_fail(err, PT_USAGE, "A cup can hold at most %d bottles' drops.", PT_CUP_BOTTLES_MAX);
  }
  return PT_OK;
}

pt_status pt__slab_of(const json_t *object, pt_slab *out, pt_error *err) {
  const json_t *over = json_object_get(object, "over");
  *out = (pt_slab){0, PT_BACKING_GRAY};
  if (!absent(object) && !json_is_object(object))
    return pt_fail(err, PT_USAGE, "\"slab\" must be an object, as in {\"thickness_mm\": 10}.");
  pt_status status = pt__number_of(object, "thickness_mm", 0.05, 100, 10, &out->thickness_mm, err);
  if (status != PT_OK || absent(over)) return status;
  if (json_is_string(over)) return pt_backing_parse(json_string_value(over), &out->backing, err);
  return pt__number_of(object, "over", 0, 1, PT_BACKING_GRAY, &out->backing, err);
}

pt_status pt__cup_of(const json_t *object, const pt_shelf *shelf, pt_cup *out, pt_error *err) {
  *out = (pt_cup){0};
  pt_status status = pt__number_of(object, "volume_floz", 0.01, 1000, 4, &out->volume_floz, err);
  if (status == PT_OK)
    status =
        pt__number_of(object, "capacity_floz", 0.01, 2000, 1.25 * out->volume_floz, &out->capacity_floz, err);
  if (status == PT_OK) status = pt__drops_of(json_object_get(object, "drops"), shelf, &out->drops, err);
  return status;
}

pt_status pt__marks_of(const json_t *object, pt_marks *out, pt_error *err) {
  *out = (pt_marks){0};
  if (absent(object)) return PT_OK;
  const char *set = json_string_value(json_object_get(json_object_get(object, "card"), "set"));
  if (set && !pt_card_named(set)) return pt_fail(err, PT_USAGE, "The bench knows no card \"%.40s\".", set);
  return pt__marks_from_json(object, "The request", NULL, out, err);
}

pt_status pt__cups_check(const json_t *cups, const pt_shelf *shelf, pt_error *err) {
  size_t i;
  json_t *cup;
  if (!json_is_array(cups) || json_array_size(cups) > PT_LAYERS_MAX)
    return pt_fail(err, PT_USAGE, "\"cups\" must be an array of at most %d cups.", PT_LAYERS_MAX);
  json_array_foreach(cups, i, cup) {
    const json_t *measured = json_object_get(cup, "measured"), *log = json_object_get(cup, "log");
    const char *layer;
    double doubt;
    pt_lab lab;
    pt_cup holds;
    pt_status status = pt__text_of(cup, "layer", true, &layer, err);
    if (status == PT_OK) status = pt__cup_of(cup, shelf, &holds, err);
    if (status == PT_OK && !absent(measured)) status = pt__lab_of(measured, "measured", &lab, err);
    if (status == PT_OK) status = pt__number_of(cup, "measured_uncertainty_de00", 0, 100, 0, &doubt, err);
    if (status == PT_OK && !absent(log) && !json_is_array(log))
      status = pt_fail(err, PT_USAGE, "\"log\" must be an array.");
    if (status != PT_OK) return status;
  }
  return PT_OK;
}
