/* Drift of a pattern, for the page. */
#include "app/bench/desk.h"
#include "app/history.h"

#include <stdlib.h>

/* Beside what the command line tells: the chart, and which batch and photo each point is. */
static pt_status add_page_keys(pt_book *book, const pt_drift_report *report, json_t *root, pt_error *err) {
  for (size_t i = 0; i < report->n; i++) {
    const pt_drift_layer *layer = &report->layer[i];
    json_t *json = json_array_get(json_object_get(root, "layers"), i);
    json_t *batches = json_object_get(json, "batches");
    pt_text svg = {0};
    if (layer->history.n) pt_chart_svg(layer, &svg);
    bool whole = !svg.failed && json_object_set_new(json, "svg", json_string(svg.data ? svg.data : "")) == 0;
    pt_text_free(&svg);
    for (size_t k = 0; k < json_array_size(batches); k++) {
      int64_t id = layer->history.row[k].batch.id;
      json_t *batch = json_array_get(batches, k);
      char photo[PT_SHA256_ROOM], *marks = NULL, *light = NULL;
      bool found = pt_batch_look(book, id, photo, &marks, &light, NULL) == PT_OK;
      whole = whole && json_object_set_new(batch, "batch", json_integer(id)) == 0 &&
              json_object_set_new(batch, "photo", found ? json_string(photo) : json_null()) == 0;
      free(marks);
      free(light);
    }
    if (!whole) return pt_fail_memory(err, "the drift of a layer");
  }
  return PT_OK;
}

static pt_status drift(pt__exchange *x, pt_drift_report *report, pt_error *err) {
  pt_pattern pattern;
  pt_book *book = x->bench->book;
  pt_status status = pt_pattern_get(book, pt__id(x, 0), &pattern, err);
  if (status == PT_OK) status = pt__history_load(book, pattern.name, report, err);
  if (status == PT_OK && !(x->json = pt_json_drift(report))) status = pt_fail_memory(err, "the answer");
  return status == PT_OK ? add_page_keys(book, report, x->json, err) : status;
}

pt_status pt__drift_get(pt__exchange *x, pt_error *err) {
  pt_drift_report *report = calloc(1, sizeof *report);
  if (!report) return pt_fail_memory(err, "the history");
  pt_status status = pt__book_begin_reading(x->bench, err);
  if (status == PT_OK) status = pt__book_end(x->bench, drift(x, report, err), err);
  pt_drift_report_free(report);
  free(report);
  return status;
}
