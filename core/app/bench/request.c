#include "app/bench/request.h"

dw_status dw__marks_of(const json_t *object, dw_marks *out, dw_error *err) {
  *out = (dw_marks){0};
  if (dw_json_absent(object)) return DW_OK;
  const char *set = json_string_value(json_object_get(json_object_get(object, "card"), "set"));
  if (set && !dw_card_named(set)) return dw_fail(err, DW_USAGE, "The bench knows no card \"%.40s\".", set);
  return dw_marks_from_json(object, "The request", NULL, out, err);
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
    dw_status status = dw_json_text_of(cup, "layer", true, &layer, err);
    if (status == DW_OK) status = dw_json_cup_of(cup, shelf, &holds, err);
    if (status == DW_OK && !dw_json_absent(measured))
      status = dw_json_lab_of(measured, "measured", &lab, err);
    if (status == DW_OK) status = dw_json_number_of(cup, "measured_uncertainty_de00", 0, 100, 0, &doubt, err);
    if (status == DW_OK && !dw_json_absent(log) && !json_is_array(log))
      status = dw_fail(err, DW_USAGE, "\"log\" must be an array.");
    if (status != DW_OK) return status;
  }
  return DW_OK;
}
