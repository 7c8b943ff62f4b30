/* Which layers of a batch that was called good count as good. */
#include "dropwise/batch.h"

#include <stdlib.h>

dw_status dw_batch_layers_read(dw_book *book, const dw_pattern *pattern, int64_t batch,
                               bool read[DW_PATTERN_LAYERS_MAX], dw_error *err) {
  dw_reading_kept *list = NULL;
  size_t n = 0;
  dw_status status = dw_reading_list(book, batch, &list, &n, err);
  for (size_t l = 0; l < pattern->n && status == DW_OK; l++) {
    read[l] = false;
    for (size_t i = 0; i < n; i++) read[l] |= list[i].layer == pattern->layer[l].id;
  }
  free(list);
  return status;
}

static void name_layers(const dw_pattern *pattern, const bool *read, bool wanted, dw_text *out) {
  bool any = false;
  for (size_t l = 0; l < pattern->n; l++) {
    if (read[l] != wanted) continue;
    dw_text_add(out, "%s%s", any ? ", " : "", pattern->layer[l].name);
    any = true;
  }
}

void dw_batch_good_words(const dw_pattern *pattern, const bool read[DW_PATTERN_LAYERS_MAX], dw_text *out) {
  size_t n = 0;
  for (size_t l = 0; l < pattern->n; l++) n += read[l];
  dw_text_add(out, n ? "Good: " : "No layer counts as good yet");
  name_layers(pattern, read, true, out);
  if (n < pattern->n) {
    dw_text_add(out, "; not measured, and not good until it is: ");
    name_layers(pattern, read, false, out);
  }
  dw_text_add(out, ".");
}

json_t *dw_batch_good_json(const dw_pattern *pattern, const bool read[DW_PATTERN_LAYERS_MAX]) {
  json_t *list = json_array();
  for (size_t l = 0; l < pattern->n; l++)
    if (read[l]) list = dw_json_and(list, json_string(pattern->layer[l].name));
  return list;
}
