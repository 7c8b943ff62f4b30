/* Measured pours with what was in them, and their readings held against that. */
#include "book/judge.h"
#include "book/bottles.h"
#include "book/sql.h"

#include <math.h>
#include <stdlib.h>

/* ---- pours --------------------------------------------------------------------------------------------- */

/* One bottle's drops in a measured pour, beside the pour. */
typedef struct part {
  int64_t pour, lot, newest_lot;
  char slug[DW_ID_ROOM]; /* "" for a pour of clear base */
  double drops, volume_floz, thickness_mm, backing;
} part;

static dw_status part_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  part *out = element;
  *out = (part){.pour = dw__query_integer(query, 0),
                .lot = dw__query_integer(query, 1),
                .newest_lot = dw__query_integer(query, 2),
                .drops = dw__query_number(query, 4),
                .volume_floz = dw__query_number(query, 5),
                .thickness_mm = dw__query_number(query, 6),
                .backing = dw__query_number(query, 7)};
  dw__query_copy(query, 3, out->slug, sizeof out->slug);
  return DW_OK;
}

/* Per measured pour of a batch (0: of all) and bottle in it; a bottle of two lots in one cup counts as the
 * older one. */
static const char parts_sql[] = "SELECT p.id, min(lot.id), " DW__LOT_AT_HAND(
    "k.id") ", k.slug, sum(d.drops),"
            " c.volume_floz + coalesce((SELECT sum(clear_floz) FROM addition WHERE cup = c.id"
            "  AND position < p.additions), 0),"
            " p.thickness_mm, p.backing FROM pour p JOIN cup c ON c.id = p.cup"
            " LEFT JOIN addition d ON d.cup = c.id AND d.position < p.additions AND d.lot IS NOT NULL"
            " LEFT JOIN lot ON lot.id = d.lot LEFT JOIN bottle k ON k.id = lot.bottle"
            " WHERE (?1 = 0 OR c.batch = ?1) AND EXISTS (SELECT 1 FROM reading_now WHERE pour = p.id)"
            " GROUP BY p.id, k.id ORDER BY p.id, k.id";

/* Parts [from, to) of one pour; not known when the shelf lacks one of its bottles, or holds too
 * much of one to be predicted. */
static void pour_take(const part *parts, size_t from, size_t to, const dw_shelf *shelf,
                      dw__measured_pour *out) {
  *out = (dw__measured_pour){
      .id = parts[from].pour, .known = true, .slab = {parts[from].thickness_mm, parts[from].backing}};
  for (size_t i = from; i < to; i++) {
    if (!parts[i].slug[0]) continue;
    int at = dw_shelf_find(shelf, parts[i].slug);
    double loading = parts[i].drops / parts[i].volume_floz;
    out->known = out->known && at >= 0 && loading <= DW_AMOUNT_MAX &&
                 dw_recipe_add(&out->loadings, (size_t)at, loading);
    if (at >= 0 && parts[i].lot != parts[i].newest_lot) out->old_lots |= (uint64_t)1 << at;
  }
}

static dw_status pours_load(dw_book *book, int64_t batch, const dw_shelf *shelf, dw__measured *out,
                            dw_error *err) {
  part *parts = NULL;
  size_t rows = 0;
  dw_status status =
      dw__book_list(book, sizeof(part), part_from_row, &parts, &rows, err, parts_sql, "i", batch);
  if (status == DW_OK && !(out->pour = calloc(rows + 1, sizeof *out->pour)))
    status = dw_fail_memory(err, "the pours");
  for (size_t i = 0; status == DW_OK && i < rows;) {
    size_t next = i + 1;
    while (next < rows && parts[next].pour == parts[i].pour) next++;
    pour_take(parts, i, next, shelf, &out->pour[out->n++]);
    i = next;
  }
  free(parts);
  return status;
}

/* ---- readings ------------------------------------------------------------------------------------------ */

static dw_status reading_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_reading_judged *out = element;
  *out = (dw_reading_judged){.id = dw__query_integer(query, 0),
                             .pour = dw__query_integer(query, 1),
                             .look = dw__query_integer(query, 2),
                             .lab = dw__query_lab(query, 3),
                             .uncertainty_de00 = dw__query_number(query, 6),
                             .bait = (int)dw__query_integer(query, 7),
                             .off_de00 = NAN};
  return DW_OK;
}

static const char readings_sql[] =
    "SELECT r.id, r.pour, r.look, r.l, r.a, r.b, r.uncertainty, r.bait FROM reading_now r"
    " WHERE r.pour IS NOT NULL AND (?1 = 0 OR r.batch = ?1) ORDER BY r.pour, r.id";

static dw_status judge_readings(const dw_shelf *shelf, dw__measured *all, dw_error *err) {
  size_t r = 0;
  dw_status status = DW_OK;
  for (size_t i = 0; i < all->n && status == DW_OK; i++) {
    const dw__measured_pour *pour = &all->pour[i];
    for (; r < all->n_readings && all->reading[r].pour == pour->id && status == DW_OK; r++) {
      dw_reading_judged *reading = &all->reading[r];
      dw_miss miss;
      if (!pour->known) continue;
      status = dw_pour_miss(shelf, &pour->loadings, &pour->slab, reading->lab, reading->uncertainty_de00,
                            &miss, err);
      if (status != DW_OK) break;
      reading->off_de00 = miss.de00;
      reading->far = reading->aside = miss.far;
    }
  }
  return status;
}

static int by_look(const void *a, const void *b) {
  const dw_reading_judged *x = *(const dw_reading_judged *const *)a,
                          *y = *(const dw_reading_judged *const *)b;
  return (x->look > y->look) - (x->look < y->look);
}

/* A photo of another bait is wrong for all its layers, though one may come near by chance. */
static dw_status spread_over_looks(dw__measured *all, dw_error *err) {
  dw_reading_judged **order = calloc(all->n_readings + 1, sizeof *order);
  if (!order) return dw_fail_memory(err, "the readings");
  for (size_t i = 0; i < all->n_readings; i++) order[i] = &all->reading[i];
  qsort(order, all->n_readings, sizeof *order, by_look);
  for (size_t i = 0, next; i < all->n_readings; i = next) {
    bool far = false;
    for (next = i; next < all->n_readings && order[next]->look == order[i]->look; next++)
      far = far || order[next]->far;
    for (size_t k = i; k < next && far && order[i]->look; k++) order[k]->aside = true;
  }
  free(order);
  return DW_OK;
}

dw_status dw__measured_load(dw_book *book, int64_t batch, const dw_shelf *shelf, dw__measured *out,
                            dw_error *err) {
  *out = (dw__measured){0};
  dw_status status = pours_load(book, batch, shelf, out, err);
  if (status == DW_OK)
    status = dw__book_list(book, sizeof(dw_reading_judged), reading_from_row, &out->reading, &out->n_readings,
                           err, readings_sql, "i", batch);
  if (status == DW_OK) status = judge_readings(shelf, out, err);
  return status == DW_OK ? spread_over_looks(out, err) : status;
}

void dw__measured_free(dw__measured *measured) {
  free(measured->pour);
  free(measured->reading);
  *measured = (dw__measured){0};
}

dw_status dw_readings_judge(dw_book *book, int64_t batch, const dw_shelf *shelf, dw_reading_judged **out,
                            size_t *n, dw_error *err) {
  dw__measured all;
  dw_status status = dw__measured_load(book, batch, shelf, &all, err);
  if (status == DW_OK) {
    *out = all.reading;
    *n = all.n_readings;
    all.reading = NULL;
  }
  dw__measured_free(&all);
  return status;
}
