/* A pattern's layers as what is looked for in its photos. */
#include "dropwise/batch_find.h"

#include <math.h>

dw_status dw_swirl_wish_check(const dw_pattern *pattern, dw_error *err) {
  dw_status status = dw_pattern_swirl_check(pattern, err);
  for (size_t i = 0; i < pattern->n && status == DW_OK; i++)
    if (!pattern->layer[i].has_target)
      status = dw_fail(
          err, DW_USAGE,
          "\"%s\" has a layer without a target, so that its colors can't be told apart by name: give it "
          "one.",
          pattern->name);
  return status;
}

dw_status dw_find_wish_take(const dw_pattern *pattern, dw_find_wish *out, dw_error *err) {
  if (pattern->n > DW_BAIT_LAYERS_MAX)
    return dw_fail(err, DW_BAD_INPUT,
                   "\"%s\" has %zu layers, and at most %d can be found in a bait; mark them: --marks FILE.",
                   pattern->name, pattern->n, DW_BAIT_LAYERS_MAX);
  if (out->rules.layers && out->rules.layers != pattern->n)
    return dw_fail(err, DW_USAGE, "\"%s\" has %zu layers, and %zu are asked for.", pattern->name, pattern->n,
                   out->rules.layers);
  out->n = out->rules.layers = out->rules.n_target = pattern->n;
  for (size_t i = 0; i < pattern->n; i++) {
    out->name[i] = pattern->layer[i].name;
    out->rules.target[i] = pattern->layer[i].has_target ? pattern->layer[i].target : (dw_lab){NAN, NAN, NAN};
  }
  out->swirl = pattern->swirl;
  return out->swirl ? dw_swirl_wish_check(pattern, err) : DW_OK;
}
