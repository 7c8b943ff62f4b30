#include "app/bench/request.h"

dw_status dw__marks_of(const json_t *object, dw_marks *out, dw_error *err) {
  *out = (dw_marks){0};
  if (dw_json_absent(object)) return DW_OK;
  const char *set = json_string_value(json_object_get(json_object_get(object, "card"), "set"));
  if (set && !dw_card_named(set)) return dw_fail(err, DW_USAGE, "The bench knows no card \"%.40s\".", set);
  return dw_marks_from_json(object, "The request", NULL, out, err);
}
