/* Corners from the flats at the card's own patches, in rounds that believe less and less of what is off. */
#include "card/find.h"
#include "card/place.h"

#include <math.h>
#include <string.h>

/* A flat this far from its patch's center is not that patch, in sides of a cell, round by round. */
static const double off_most[] = {0.25, 0.12, 0.08, 0.05};
enum { ROUNDS = sizeof off_most / sizeof *off_most };
/* Its area against the median of all: half a patch under glare has its center elsewhere. */
#define AREA_ALIKE 1.7
/* Patches that a new fit needs. */
enum { PATCHES_LEAST = 8 };

typedef struct pairs {
  size_t n;
  double from[2 * DW_CARD_PATCHES_MAX], to[2 * DW_CARD_PATCHES_MAX], area[DW_CARD_PATCHES_MAX];
} pairs;

static double cell_side(const dw_homography *map, double column, double row) {
  double x[3], y[3];
  dw_homography_at(map, column, row, &x[0], &y[0]);
  dw_homography_at(map, column + 1.0, row, &x[1], &y[1]);
  dw_homography_at(map, column, row + 1.0, &x[2], &y[2]);
  return fmin(hypot(x[1] - x[0], y[1] - y[0]), hypot(x[2] - x[0], y[2] - y[0]));
}

/* The flat nearest to a patch's center, or NULL. */
static const dw__flat *flat_near(const dw__flats *flats, double x, double y, double reach) {
  const dw__flat *found = NULL;
  size_t low = 0, high = flats->n;
  while (low < high) { /* flats are sorted by x */
    const size_t middle = (low + high) / 2;
    if (flats->flat[middle].x < x - reach)
      low = middle + 1;
    else
      high = middle;
  }
  for (; low < flats->n && flats->flat[low].x < x + reach; low++) {
    const double off = hypot(flats->flat[low].x - x, flats->flat[low].y - y);
    if (off >= reach) continue;
    reach = off;
    found = &flats->flat[low];
  }
  return found;
}

static void pairs_gather(const dw__flats *flats, const dw_card *card, const dw_homography *map, double off,
                         pairs *out) {
  out->n = 0;
  for (size_t i = 0; i < card->rows * card->cols; i++) {
    const double column = (double)(i % card->cols), row = (double)(i / card->cols);
    double x, y;
    dw_homography_at(map, column, row, &x, &y);
    const dw__flat *flat = flat_near(flats, x, y, off * cell_side(map, column, row));
    if (flat == NULL) continue;
    const double pair[4] = {column, row, flat->x, flat->y};
    memcpy(&out->from[2 * out->n], pair, 2 * sizeof *pair);
    memcpy(&out->to[2 * out->n], pair + 2, 2 * sizeof *pair);
    out->area[out->n++] = flat->area;
  }
}

/* Takes out spots whose area is not as the others'. */
static void pairs_trim(pairs *p) {
  double sorted[DW_CARD_PATCHES_MAX];
  size_t kept = 0;
  memcpy(sorted, p->area, p->n * sizeof *sorted);
  const double middle = dw_median(sorted, p->n);
  for (size_t i = 0; i < p->n; i++) {
    if (p->area[i] > AREA_ALIKE * middle || middle > AREA_ALIKE * p->area[i]) continue;
    memmove(&p->from[2 * kept], &p->from[2 * i], 2 * sizeof *p->from);
    memmove(&p->to[2 * kept++], &p->to[2 * i], 2 * sizeof *p->to);
  }
  p->n = kept;
}

static void corners_at(const dw_card *card, const dw_homography *map, dw_corners *out) {
  const double right = (double)(card->cols - 1), bottom = (double)(card->rows - 1);
  const double grid[8] = {0, 0, right, 0, right, bottom, 0, bottom};
  for (int k = 0; k < 8; k += 2) dw_homography_at(map, grid[k], grid[k + 1], &out->xy[k], &out->xy[k + 1]);
}

dw_status dw__laying_refine(const dw__flats *flats, const dw_card *card, dw__laying *laying, dw_error *err) {
  dw_homography map;
  pairs p;
  dw_status status = dw__grid_to_photo(card, &laying->corners, &map, err);
  if (status != DW_OK) return status;
  for (int round = 0; round < ROUNDS; round++) {
    pairs_gather(flats, card, &map, off_most[round], &p);
    pairs_trim(&p);
    if (p.n < PATCHES_LEAST || dw_homography_fit_many(p.from, p.to, p.n, &map, NULL) != DW_OK) break;
  }
  corners_at(card, &map, &laying->corners);
  return DW_OK;
}
