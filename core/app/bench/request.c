#include "app/bench/request.h"

#include "dropwise/plan.h"

dw_status dw__marks_of(const json_t *object, dw_marks *out, dw_error *err) {
  dw_marks_begin(out);
  if (dw_json_absent(object)) return DW_OK;
  const char *set = json_string_value(json_object_get(json_object_get(object, "card"), "set"));
  if (set && !dw_card_named(set)) return dw_fail(err, DW_USAGE, "The bench knows no card \"%.40s\".", set);
  return dw_marks_from_json(object, "The request", NULL, out, err);
}

dw_status dw__flag_check(const json_t *body, const char *key, dw_error *err) {
  const json_t *flag = json_object_get(body, key);
  return !flag || json_is_boolean(flag) ? DW_OK
                                        : dw_fail(err, DW_USAGE, "\"%s\" must be true or false.", key);
}

dw_status dw__pattern_of(dw_book *book, const json_t *body, dw_pattern *out, dw_error *err) {
  const json_t *pattern = json_object_get(body, "pattern");
  if (json_is_integer(pattern)) return dw_pattern_get(book, json_integer_value(pattern), out, err);
  if (json_is_string(pattern)) return dw_pattern_find(book, json_string_value(pattern), out, err);
  return dw_fail(err, DW_USAGE, "\"pattern\" must be the id or the name of one.");
}

static dw_status shares_of(const json_t *list, size_t n, double *out, dw_error *err) {
  double percent[DW_BLEND_LAYERS_MAX];
  for (size_t i = 0; i < n; i++) out[i] = 1.0 / (double)n;
  if (dw_json_absent(list)) return DW_OK;
  bool good = json_is_array(list) && json_array_size(list) == n;
  for (size_t i = 0; i < n && good; i++) {
    good = json_is_number(json_array_get(list, i));
    percent[i] = json_number_value(json_array_get(list, i));
  }
  if (good && dw_plan_shares(percent, n, out)) return DW_OK;
  return dw_fail(err, DW_USAGE, "\"shares\" must be %zu percentages from 1 to 100 that add up to 100.", n);
}

dw_status dw__look_of(const json_t *object, size_t n, dw_bait_picture *out, dw_error *err) {
  const char *outline;
  out->outline = DW_OUTLINE_SWIMBAIT;
  if (n > DW_BLEND_LAYERS_MAX)
    return dw_fail(err, DW_USAGE, "A bait has at most %d layers here.", DW_BLEND_LAYERS_MAX);
  dw_status status = dw_json_text_of(object, "outline", false, &outline, err);
  if (status == DW_OK && outline && !dw_outline_find(outline, &out->outline))
    status = dw_fail(err, DW_USAGE, "The bench knows no outline \"%.40s\".", outline);
  return status == DW_OK ? shares_of(json_object_get(object, "shares"), n, out->share, err) : status;
}
