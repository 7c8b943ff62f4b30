/* Any bytes as a file of targets: its layers are sound, or it is refused. */
#include "fuzz.h"

#include "app/cli/pattern_file.h"

#include <math.h>
#include <stdlib.h>

static void promise_layer(const dw_layer *layer) {
  promise(layer->name[0] && dw_utf8_plain(layer->name), "a layer has a plain name");
  promise(isfinite(layer->target.L) && isfinite(layer->target.a) && isfinite(layer->target.b),
          "a target is a color");
  promise(layer->cup.volume_floz > 0 && layer->cup.capacity_floz >= layer->cup.volume_floz,
          "a cup holds its volume");
  promise(layer->target_see_through <= 1, "see-through is a ratio");
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n) {
  static dw_advice_request *request;
  static dw_shelf *shelf;
  static const char *const names[] = {NULL, "creek crawfish"};
  dw_error err;
  if (!request) request = calloc(1, sizeof *request);
  if (!shelf) promise(request && dw_shelf_starter(&shelf, &err) == DW_OK, "memory");
  for (int i = 0; i < 2; i++) {
    *request = (dw_advice_request){.shelf = shelf, .n = 1, .rules = dw_rules_default()};
    request->layer[0].cup = (dw_cup){.volume_floz = 4, .capacity_floz = 5};
    request->layer[0].target_see_through = -1;
    if (!promised(cli_targets_load(fuzz_path(bytes, n), names[i], request, &err), &err)) continue;
    promise(request->n >= 1 && request->n <= DW_LAYERS_MAX, "1 to 8 layers");
    for (size_t k = 0; k < request->n; k++) promise_layer(&request->layer[k]);
  }
  return 0;
}
