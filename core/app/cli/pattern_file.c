#include "app/cli/pattern_file.h"

#include "dropwise/json.h"

#include <string.h>

enum { TARGETS_FILE_MAX = 4 << 20 };

/* Where a value is being read: for messages. */
typedef struct place {
  const char *file, *pattern;
  size_t layer;
} place;

static dw_status lab_of(const json_t *value, const place *at, dw_lab *out, dw_error *err) {
  double v[3];
  for (size_t i = 0; i < 3; i++) {
    const json_t *number = json_array_get(value, i);
    if (!json_is_number(number))
      return dw_fail(err, DW_BAD_INPUT, "%s: layer %zu of \"%s\" needs \"lab\": [L, a, b].", at->file,
                     at->layer + 1, at->pattern);
    v[i] = json_number_value(number);
  }
  *out = (dw_lab){v[0], v[1], v[2]};
  return DW_OK;
}

static dw_status number_or(const json_t *object, const char *key, double fallback, const place *at,
                           double *out, dw_error *err) {
  const json_t *value = json_object_get(object, key);
  *out = json_is_number(value) ? json_number_value(value) : fallback;
  if (!value || json_is_null(value) || json_is_number(value)) return DW_OK;
  return dw_fail(err, DW_BAD_INPUT, "%s: \"%s\" in layer %zu of \"%s\" is not a number.", at->file, key,
                 at->layer + 1, at->pattern);
}

static dw_status layer_of(const json_t *value, const place *at, const dw_shelf *shelf, const dw_cup *empty,
                          dw_layer *out, dw_error *err) {
  const char *name = json_string_value(json_object_get(value, "name"));
  const json_t *cup = json_object_get(value, "cup");
  if (!name || !*name || !dw_utf8_plain(name) || !dw_copy_text(out->name, sizeof out->name, name))
    return dw_fail(
        err, DW_BAD_INPUT,
        "%s: layer %zu of \"%s\" needs a \"name\" of at most %zu bytes, without control characters.",
        at->file, at->layer + 1, at->pattern, sizeof out->name - 1);
  if (cup && !json_is_null(cup) && !json_is_string(cup))
    return dw_fail(err, DW_BAD_INPUT,
                   "%s: \"cup\" in layer %zu of \"%s\" is not a text, as in \"orange=12,brown=4\".", at->file,
                   at->layer + 1, at->pattern);
  out->cup = *empty;
  dw_status status = lab_of(json_object_get(value, "lab"), at, &out->target, err);
  if (status == DW_OK) status = number_or(value, "see_through", -1, at, &out->target_see_through, err);
  if (status == DW_OK)
    status = number_or(value, "volume_floz", empty->volume_floz, at, &out->cup.volume_floz, err);
  if (status == DW_OK)
    status = number_or(value, "capacity_floz", empty->capacity_floz, at, &out->cup.capacity_floz, err);
  if (status == DW_OK && json_is_string(cup))
    status = dw_recipe_parse(json_string_value(cup), shelf, &out->cup.drops, err);
  return status;
}

static const json_t *pattern_of(const json_t *root, const char *path, const char *name, dw_error *err) {
  const json_t *patterns = json_object_get(root, "patterns");
  size_t n = json_array_size(patterns);
  for (size_t i = 0; i < n; i++) {
    const json_t *pattern = json_array_get(patterns, i);
    const char *own = json_string_value(json_object_get(pattern, "name"));
    if (own && (name ? strcmp(own, name) == 0 : n == 1)) return pattern;
  }
  if (name)
    dw_fail(err, DW_NOT_FOUND, "%s holds no pattern \"%s\".", path, name);
  else
    dw_fail(err, DW_USAGE, "%s holds %zu patterns; say which one with --pattern.", path, n);
  return NULL;
}

static dw_status read_pattern(const json_t *pattern, const char *path, dw_advice_request *out,
                              dw_error *err) {
  const json_t *layers = json_object_get(pattern, "layers");
  place at = {path, json_string_value(json_object_get(pattern, "name")), 0};
  size_t n = json_array_size(layers);
  if (n < 1 || n > DW_LAYERS_MAX)
    return dw_fail(err, DW_BAD_INPUT, "%s: pattern \"%s\" needs 1 to %d layers.", path, at.pattern,
                   DW_LAYERS_MAX);
  dw_cup empty = out->layer[0].cup;
  for (; at.layer < n; at.layer++) {
    dw_status status =
        layer_of(json_array_get(layers, at.layer), &at, out->shelf, &empty, &out->layer[at.layer], err);
    if (status != DW_OK) return status;
  }
  out->n = n;
  return DW_OK;
}

dw_status cli_targets_load(const char *path, const char *pattern, dw_advice_request *out, dw_error *err) {
  dw_error local;
  if (!err) err = &local;
  json_t *root = NULL;
  dw_status status = dw_json_load(path, TARGETS_FILE_MAX, &root, err);
  if (status == DW_OK) {
    const json_t *found = pattern_of(root, path, pattern, err);
    status = found ? read_pattern(found, path, out, err) : err->code;
  }
  json_decref(root);
  return status;
}
