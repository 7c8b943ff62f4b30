#include "dropwise/json.h"

#include <math.h>
#include <string.h>

bool dw_json_absent(const json_t *value) {
  return !value || json_is_null(value);
}

dw_status dw_json_number_of(const json_t *object, const char *key, double min, double max, double fallback,
                            double *out, dw_error *err) {
  const json_t *value = json_object_get(object, key);
  *out = fallback;
  if (dw_json_absent(value)) return DW_OK;
  *out = json_number_value(value);
  if (json_is_number(value) && *out >= min && *out <= max) return DW_OK;
  return dw_fail(err, DW_USAGE, "\"%s\" must be a number from %g to %g.", key, min, max);
}

dw_status dw_json_whole_of(const json_t *object, const char *key, int64_t min, int64_t max, int64_t fallback,
                           int64_t *out, dw_error *err) {
  const json_t *value = json_object_get(object, key);
  *out = fallback;
  if (dw_json_absent(value)) return DW_OK;
  *out = json_integer_value(value);
  if (json_is_integer(value) && *out >= min && *out <= max) return DW_OK;
  return dw_fail(err, DW_USAGE, "\"%s\" must be a whole number, at least %lld.", key, (long long)min);
}

dw_status dw_json_text_of(const json_t *object, const char *key, bool required, const char **out,
                          dw_error *err) {
  const json_t *value = json_object_get(object, key);
  *out = NULL;
  if (dw_json_absent(value) && !required) return DW_OK;
  *out = json_string_value(value);
  return *out ? DW_OK : dw_fail(err, DW_USAGE, "\"%s\" must be a text.", key);
}

dw_status dw_json_sha_of(const json_t *object, const char *key, const char **out, dw_error *err) {
  *out = json_string_value(json_object_get(object, key));
  if (*out && strlen(*out) == 64 && strspn(*out, "0123456789abcdef") == 64) return DW_OK;
  return dw_fail(err, DW_USAGE, "\"%s\" must be the id of a photo.", key);
}

dw_status dw_json_lab_of(const json_t *value, const char *key, dw_lab *out, dw_error *err) {
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
