/* One layer through all its batches, as drift wants it. */
#include "book/sql.h"
#include "pourtone/book_pours.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { BAIT_PHOTOS_MAX = 32, REPEAT_DEGREES_MIN = 5 };

/* One reading beside its batch. */
typedef struct row {
  pt_batch batch;
  double temperature_f;
  int64_t pour, look, bait;
  pt_lab lab;
  double uncertainty;
} row;

static pt_status row_from_query(const pt__query *query, void *element, pt_error *err) {
  (void)err;
  row *out = element;
  out->batch = (pt_batch){.id = pt__query_integer(query, 0),
                          .pattern = pt__query_integer(query, 1),
                          .good = pt__query_integer(query, 4) != 0,
                          .blend_mm = pt__query_number(query, 6)};
  pt__query_copy(query, 2, out->batch.name, sizeof out->batch.name);
  pt__query_copy(query, 3, out->batch.poured, sizeof out->batch.poured);
  pt__query_copy(query, 5, out->batch.note, sizeof out->batch.note);
  out->temperature_f = pt__query_number(query, 7);
  out->pour = pt__query_integer(query, 8);
  out->look = pt__query_integer(query, 9);
  out->bait = pt__query_integer(query, 10);
  out->lab = pt__query_lab(query, 11);
  out->uncertainty = pt__query_number(query, 14);
  return PT_OK;
}

static pt_status load_rows(pt_book *book, int64_t layer, row **out, size_t *n, pt_error *err) {
  static const char sql[] =
      "SELECT b.id, b.pattern, b.name, b.poured, b.good, b.note, b.blend_mm, c.temperature_f, r.pour, r.look,"
      " r.bait, r.l, r.a, r.b, r.uncertainty FROM batch b CROSS JOIN reading r ON r.layer = ?1 AND r.batch = "
      "b.id"
      " LEFT JOIN cup c ON c.batch = b.id AND c.layer = ?1"
      " WHERE b.pattern = (SELECT pattern FROM layer WHERE id = ?1) ORDER BY b.poured, b.id, r.bait, r.id";
  pt__query query;
  void *list = NULL;
  pt_status status = pt__query_open(book, sql, &query, err, "i", layer);
  if (status == PT_OK) status = pt__query_list(&query, sizeof(row), row_from_query, &list, n, err);
  if (status == PT_OK) *out = list;
  return status;
}

/* Of the rows [from, to) of one batch those that count: of no pour, or of the last measured pour. They are
 * moved to the front; returns how many. */
static size_t keep_last_pour(row *rows, size_t from, size_t to) {
  int64_t last = 0;
  size_t kept = from;
  for (size_t i = from; i < to; i++)
    if (rows[i].pour > last) last = rows[i].pour;
  for (size_t i = from; i < to; i++)
    if (rows[i].pour == 0 || rows[i].pour == last) rows[kept++] = rows[i];
  return kept - from;
}

/* One bait's readings [from, to): their mean, and how far its photos disagree. */
static pt_bait_color mean_bait(const row *rows, size_t from, size_t to, pt_repeatability *repeat) {
  pt_bait_color bait = {.readings = to - from};
  pt_lab photo[BAIT_PHOTOS_MAX];
  size_t photos = 0;
  double share = 1 / (double)(to - from);
  for (size_t i = from; i < to; i++) {
    bait.lab.L += share * rows[i].lab.L;
    bait.lab.a += share * rows[i].lab.a;
    bait.lab.b += share * rows[i].lab.b;
    bool another = i == from || rows[i].look == 0 || rows[i].look != rows[i - 1].look;
    if (another && photos < BAIT_PHOTOS_MAX) photo[photos++] = rows[i].lab;
  }
  pt_repeatability_add(repeat, photo, photos);
  return bait;
}

/* How many photos the n readings come from; numbers typed in count as a photo each. */
static size_t count_photos(const row *rows, size_t from, size_t n) {
  size_t photos = 0;
  for (size_t i = from; i < from + n; i++) {
    bool seen = false;
    for (size_t j = from; rows[i].look && j < i && !seen; j++) seen = rows[j].look == rows[i].look;
    photos += !seen;
  }
  return photos;
}

static void add_batch(row *rows, size_t from, size_t to, pt_layer_history *out) {
  pt_batch_row *batch = &out->row[out->n];
  pt_batch_color *color = &out->color[out->n++];
  *batch = (pt_batch_row){.batch = rows[from].batch,
                          .temperature_f = rows[from].temperature_f,
                          .readings = keep_last_pour(rows, from, to),
                          .first_bait = out->n_baits};
  *color = (pt_batch_color){.good = batch->batch.good};
  to = from + batch->readings;
  batch->photos = count_photos(rows, from, batch->readings);
  for (size_t i = from; i < to; batch->baits++) {
    size_t next = i + 1;
    while (next < to && rows[next].bait == rows[i].bait) next++;
    out->bait[out->n_baits++] = mean_bait(rows, i, next, &out->repeat);
    i = next;
  }
  for (size_t i = 0; i < batch->baits; i++) {
    const pt_lab *lab = &out->bait[batch->first_bait + i].lab;
    color->lab.L += lab->L / (double)batch->baits;
    color->lab.a += lab->a / (double)batch->baits;
    color->lab.b += lab->b / (double)batch->baits;
  }
  for (size_t i = from; i < to; i++)
    color->uncertainty_de00 += rows[i].uncertainty * rows[i].uncertainty / (double)batch->readings;
}

/* A reading is worth no more than repeated photos agree, and several photos are worth more than one. */
static void settle_uncertainty(pt_layer_history *out) {
  double floor = out->repeat.degrees >= REPEAT_DEGREES_MIN ? out->repeat.sd_de00 : 0;
  for (size_t i = 0; i < out->n; i++) {
    double one = fmax(sqrt(out->color[i].uncertainty_de00), floor);
    out->color[i].uncertainty_de00 = one / sqrt((double)out->row[i].photos);
  }
}

pt_status pt_layer_history_load(pt_book *book, int64_t layer, pt_layer_history *out, pt_error *err) {
  row *rows = NULL;
  size_t n = 0;
  *out = (pt_layer_history){0};
  pt_status status = load_rows(book, layer, &rows, &n, err);
  if (status != PT_OK || n == 0) return status;
  size_t batches = 1;
  for (size_t i = 1; i < n; i++) batches += rows[i].batch.id != rows[i - 1].batch.id;
  out->color = calloc(batches, sizeof *out->color);
  out->row = calloc(batches, sizeof *out->row);
  out->bait = calloc(n, sizeof *out->bait);
  if (out->color && out->row && out->bait) {
    for (size_t i = 0; i < n;) {
      size_t next = i + 1;
      while (next < n && rows[next].batch.id == rows[i].batch.id) next++;
      add_batch(rows, i, next, out);
      i = next;
    }
    settle_uncertainty(out);
  } else {
    status = pt_fail_memory(err, "the batches");
    pt_layer_history_free(out);
  }
  free(rows);
  return status;
}

void pt_layer_history_free(pt_layer_history *history) {
  free(history->color);
  free(history->row);
  free(history->bait);
  *history = (pt_layer_history){0};
}
