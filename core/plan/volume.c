/* A volume as a person gives it for a mold: also by the weight of what a bait is made of. */
#include "dropwise/plan.h"

#include <string.h>

/* "11.5 g", "11.5g": a weight. */
static bool parse_grams(const char *text, double *grams) {
  const char *unit;
  if (!dw_parse_number(text, &unit, grams)) return false;
  unit += strspn(unit, " ");
  return strcmp(unit, "g") == 0 || strcmp(unit, "G") == 0;
}

dw_status dw_volume_parse(const char *text, dw_units units, double density_g_ml, double *ml, dw_error *err) {
  double amount;
  const bool weight = parse_grams(text, &amount);
  if (weight && !(density_g_ml > 0))
    return dw_fail(err, DW_USAGE, "\"%.40s\" is a weight: give the plastic's density in g per ml, too.",
                   text);
  if (!weight && !dw_parse_volume(text, &units, &amount))
    return dw_fail(err, DW_USAGE,
                   "\"%.40s\" is not a volume: write it with its unit, as in 12ml, 0.4floz or 11g.", text);
  if (!(amount > 0)) return dw_fail(err, DW_USAGE, "\"%.40s\" is not a volume above 0.", text);
  *ml = weight ? amount / density_g_ml : amount * DW_ML_PER_FLOZ;
  return DW_OK;
}
