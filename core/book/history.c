/* One layer through all its batches, as drift wants it. */
#include "book/sql.h"
#include "dropwise/book_pours.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { BAIT_PHOTOS_MAX = 32, REPEAT_DEGREES_MIN = 5 };

/* One reading. */
typedef struct row {
  int64_t batch, pour, photo, bait; /* photo 0: from numbers */
  double temperature_f;             /* of the batch's cup */
  dw_lab lab;
  double uncertainty;
  double share, share_doubt; /* NAN: not of a swirl */
} row;

static dw_status row_from_query(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  *(row *)element = (row){.batch = dw__query_integer(query, 0),
                          .temperature_f = dw__query_number(query, 1),
                          .pour = dw__query_integer(query, 2),
                          .photo = dw__query_integer(query, 3),
                          .bait = dw__query_integer(query, 4),
                          .lab = dw__query_lab(query, 5),
                          .uncertainty = dw__query_number(query, 8),
                          .share = dw__query_number(query, 9),
                          .share_doubt = dw__query_number(query, 10)};
  return DW_OK;
}

/* The batches of the layer's pattern, and its readings in the same order. */
static dw_status load_rows(dw_book *book, int64_t layer, dw_batch **batches, size_t *n_batches, row **rows,
                           size_t *n, dw_error *err) {
  static const char sql[] =
      /* in this order, so that a cup is looked up once a batch, not once a reading */
      "SELECT b.id, c.temperature_f, r.pour, k.photo, r.bait, r.l, r.a, r.b, r.uncertainty, r.share,"
      " r.share_doubt FROM batch b"
      " LEFT JOIN cup c ON c.batch = b.id AND c.layer = ?1"
      " CROSS JOIN reading_now r ON r.layer = ?1 AND r.batch = b.id LEFT JOIN look k ON k.id = r.look"
      " WHERE b.pattern = ?2 AND r.bait <> ?3 ORDER BY b.poured, b.id, r.bait, r.id";
  int64_t pattern;
  dw_status status = dw__book_integer(book, &pattern, "There is no such layer in the book.", err,
                                      "SELECT pattern FROM layer WHERE id = ?", "i", layer);
  if (status == DW_OK) status = dw_batch_list(book, pattern, batches, n_batches, err);
  if (status != DW_OK) return status;
  return dw__book_list(book, sizeof(row), row_from_query, rows, n, err, sql, "iii", layer, pattern,
                       (int64_t)DW_BAIT_DRIZZLED);
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
static dw_bait_color mean_bait(const row *rows, size_t from, size_t to, dw_repeatability *repeat) {
  dw_bait_color bait = {.readings = to - from};
  dw_lab photo[BAIT_PHOTOS_MAX];
  size_t photos = 0;
  double share = 1 / (double)(to - from);
  for (size_t i = from; i < to; i++) {
    bait.lab.L += share * rows[i].lab.L;
    bait.lab.a += share * rows[i].lab.a;
    bait.lab.b += share * rows[i].lab.b;
    bool another = i == from || rows[i].photo == 0 || rows[i].photo != rows[i - 1].photo;
    if (another && photos < BAIT_PHOTOS_MAX) photo[photos++] = rows[i].lab;
  }
  dw_repeatability_add(repeat, photo, photos);
  return bait;
}

/* How many photos the n readings come from; numbers typed in count as a photo each. */
static size_t count_photos(const row *rows, size_t from, size_t n) {
  size_t photos = 0;
  for (size_t i = from; i < from + n; i++) {
    bool seen = false;
    for (size_t j = from; rows[i].photo && j < i && !seen; j++) seen = rows[j].photo == rows[i].photo;
    photos += !seen;
  }
  return photos;
}

/* The mean share of a bait's readings [from, to) that tell one. */
static void mean_share(const row *rows, size_t from, size_t to, dw_bait_color *bait) {
  size_t n = 0;
  double sum = 0, squares = 0;
  for (size_t i = from; i < to; i++) {
    if (isnan(rows[i].share)) continue;
    sum += rows[i].share;
    squares += rows[i].share_doubt * rows[i].share_doubt;
    n++;
  }
  bait->share = n ? sum / (double)n : NAN;
  bait->share_doubt = n ? sqrt(squares) / (double)n : NAN;
}

/* Over the batch's baits; what of a share's doubt is common to all is so in every batch. */
static void batch_share(const dw_layer_history *history, dw_batch_row *batch) {
  double sum = 0, squares = 0;
  for (size_t i = 0; i < batch->baits; i++) {
    const dw_bait_color *bait = &history->bait[batch->first_bait + i];
    if (isnan(bait->share)) continue;
    sum += bait->share;
    squares += bait->share_doubt * bait->share_doubt;
    batch->shares++;
  }
  batch->share = batch->shares ? sum / (double)batch->shares : NAN;
  batch->share_doubt = batch->shares ? sqrt(squares) / (double)batch->shares : NAN;
}

static void add_batch(const dw_batch *kept, row *rows, size_t from, size_t to, dw_layer_history *out) {
  dw_batch_row *batch = &out->row[out->n];
  dw_batch_color *color = &out->color[out->n++];
  *batch = (dw_batch_row){.batch = *kept,
                          .temperature_f = rows[from].temperature_f,
                          .readings = keep_last_pour(rows, from, to),
                          .first_bait = out->n_baits};
  *color = (dw_batch_color){.good = batch->batch.good};
  to = from + batch->readings;
  batch->photos = count_photos(rows, from, batch->readings);
  for (size_t i = from; i < to; batch->baits++) {
    size_t next = i + 1;
    while (next < to && rows[next].bait == rows[i].bait) next++;
    out->bait[out->n_baits] = mean_bait(rows, i, next, &out->repeat);
    mean_share(rows, i, next, &out->bait[out->n_baits++]);
    i = next;
  }
  batch_share(out, batch);
  for (size_t i = 0; i < batch->baits; i++) {
    const dw_lab *lab = &out->bait[batch->first_bait + i].lab;
    color->lab.L += lab->L / (double)batch->baits;
    color->lab.a += lab->a / (double)batch->baits;
    color->lab.b += lab->b / (double)batch->baits;
  }
  for (size_t i = from; i < to; i++)
    color->uncertainty_de00 += rows[i].uncertainty * rows[i].uncertainty / (double)batch->readings;
}

/* A reading is worth no more than repeated photos agree, and several photos are worth more than one. */
static void settle_uncertainty(dw_layer_history *out) {
  double floor = out->repeat.degrees >= REPEAT_DEGREES_MIN ? out->repeat.sd_de00 : 0;
  for (size_t i = 0; i < out->n; i++) {
    double one = fmax(sqrt(out->color[i].uncertainty_de00), floor);
    out->color[i].uncertainty_de00 = one / sqrt((double)out->row[i].photos);
  }
}

/* Both lists run in the order of the batches; a batch without readings is passed over. */
static void add_batches(const dw_batch *batches, size_t n_batches, row *rows, size_t n,
                        dw_layer_history *out) {
  for (size_t i = 0, b = 0; i < n && b < n_batches; b++) {
    size_t next = i;
    while (next < n && rows[next].batch == batches[b].id) next++;
    if (next > i) add_batch(&batches[b], rows, i, next, out);
    i = next;
  }
}

dw_status dw_layer_history_load(dw_book *book, int64_t layer, dw_layer_history *out, dw_error *err) {
  dw_batch *batches = NULL;
  row *rows = NULL;
  size_t n = 0, n_batches = 0;
  *out = (dw_layer_history){0};
  dw_status status = load_rows(book, layer, &batches, &n_batches, &rows, &n, err);
  if (status != DW_OK || n == 0) goto done;
  out->color = calloc(n_batches, sizeof *out->color);
  out->row = calloc(n_batches, sizeof *out->row);
  out->bait = calloc(n, sizeof *out->bait);
  if (out->color && out->row && out->bait) {
    add_batches(batches, n_batches, rows, n, out);
    settle_uncertainty(out);
  } else {
    status = dw_fail_memory(err, "the batches");
    dw_layer_history_free(out);
  }
done:
  free(batches);
  free(rows);
  return status;
}

void dw_layer_history_free(dw_layer_history *history) {
  free(history->color);
  free(history->row);
  free(history->bait);
  *history = (dw_layer_history){0};
}
