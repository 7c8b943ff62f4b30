/* A cup, its drops and the slab it is judged by, from JSON and back. */
#include "dropwise/mix_json.h"

json_t *dw_json_drops(const dw_recipe *drops, const dw_shelf *shelf) {
  json_t *json = json_object();
  for (size_t i = 0; i < drops->n; i++)
    json =
        dw_json_with(json, shelf->bottle[drops->part[i].bottle].id, dw_json_round(drops->part[i].amount, 2));
  return json;
}

dw_status dw_json_drops_of(const json_t *object, const dw_shelf *shelf, dw_recipe *out, dw_error *err) {
  const char *id;
  json_t *value;
  *out = (dw_recipe){0};
  if (!dw_json_absent(object) && !json_is_object(object))
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

dw_status dw_json_slab_of(const json_t *object, dw_slab *out, dw_error *err) {
  const json_t *over = json_object_get(object, "over");
  *out = (dw_slab){0, DW_BACKING_GRAY};
  if (!dw_json_absent(object) && !json_is_object(object))
    return dw_fail(err, DW_USAGE, "\"slab\" must be an object, as in {\"thickness_mm\": 10}.");
  dw_status status = dw_json_number_of(object, "thickness_mm", 0.05, 100, 10, &out->thickness_mm, err);
  if (status != DW_OK || dw_json_absent(over)) return status;
  if (json_is_string(over)) return dw_backing_parse(json_string_value(over), &out->backing, err);
  return dw_json_number_of(object, "over", 0, 1, DW_BACKING_GRAY, &out->backing, err);
}

dw_status dw_json_cup_of(const json_t *object, const dw_shelf *shelf, dw_cup *out, dw_error *err) {
  *out = (dw_cup){0};
  dw_status status = dw_json_number_of(object, "volume_floz", 0.01, 1000, 4, &out->volume_floz, err);
  if (status == DW_OK)
    status = dw_json_number_of(object, "capacity_floz", 0.01, 2000, DW_USUAL_CAPACITY * out->volume_floz,
                               &out->capacity_floz, err);
  if (status == DW_OK) status = dw_json_drops_of(json_object_get(object, "drops"), shelf, &out->drops, err);
  return status;
}
