/* Drift of a pattern, for the page. */
#include "app/bench/on_bench.h"
#include "dropwise/report_drift.h"

#include <stdlib.h>

/* Of a swirl's color. */
static bool add_share_svg(const dw_drift_layer *layer, json_t *json) {
  dw_text svg = {0};
  dw_share_svg(layer, &svg);
  json_t *shares = json_object_get(json, "shares");
  bool whole = !svg.failed &&
               (!shares || json_object_set_new(shares, "svg", json_string(svg.data ? svg.data : "")) == 0);
  dw_text_free(&svg);
  return whole;
}

/* Beside what the command line tells: the chart, and which photo each point is of. */
static dw_status add_page_keys(dw_book *book, const dw_drift_report *report, json_t *root, dw_error *err) {
  for (size_t i = 0; i < report->n; i++) {
    const dw_drift_layer *layer = &report->layer[i];
    json_t *json = json_array_get(json_object_get(root, "layers"), i);
    json_t *batches = json_object_get(json, "batches");
    dw_text svg = {0};
    if (layer->history.n) dw_chart_svg(layer, &svg);
    bool whole = !svg.failed && json_object_set_new(json, "svg", json_string(svg.data ? svg.data : "")) == 0;
    dw_text_free(&svg);
    whole = whole && add_share_svg(layer, json);
    for (size_t k = 0; k < json_array_size(batches); k++) {
      json_t *batch = json_array_get(batches, k);
      char photo[DW_SHA256_ROOM], *marks = NULL, *light = NULL;
      bool found = dw_batch_look(book, layer->history.row[k].batch.id, photo, &marks, &light, NULL) == DW_OK;
      whole = whole && json_object_set_new(batch, "photo", found ? json_string(photo) : json_null()) == 0;
      free(marks);
      free(light);
    }
    if (!whole) return dw_fail_memory(err, "the drift of a layer");
  }
  return DW_OK;
}

static dw_status drift(dw__exchange *x, dw_drift_report *report, dw_error *err) {
  dw_pattern pattern;
  dw_book *book = x->bench->book;
  dw_status status = dw_pattern_get(book, dw__id(x, 0), &pattern, err);
  if (status == DW_OK) status = dw_drift_report_load(book, pattern.name, report, err);
  if (status == DW_OK && !(x->json = dw_json_drift(report))) status = dw_fail_memory(err, "the answer");
  return status == DW_OK ? add_page_keys(book, report, x->json, err) : status;
}

dw_status dw__drift_get(dw__exchange *x, dw_error *err) {
  dw_drift_report *report = calloc(1, sizeof *report);
  if (!report) return dw_fail_memory(err, "the history");
  dw_status status = dw__book_begin_reading(x->bench, err);
  if (status == DW_OK) status = dw__book_end(x->bench, drift(x, report, err), err);
  dw_drift_report_free(report);
  free(report);
  return status;
}
