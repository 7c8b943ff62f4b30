/* How large a bait is, where the photo or the wish says how long something is. */
#include "dropwise/numeric.h"
#include "dropwise/read_find.h"

#include <math.h>

typedef struct ruler {
  bool card;
  dw_homography map; /* by the card: a place of the photo in mm on the board */
  double mm;         /* else: of a pixel */
} ruler;

/* The card lies on the board, its patches as far apart down as across, so it tells of the tilt as well. */
static bool card_ruler(const dw_photo_reading *reading, double width_mm, ruler *out) {
  const dw_card *card = &reading->card;
  if (!reading->has_corners || !(width_mm > 0) || card->cols < 2 || card->rows < 2) return false;
  const double w = width_mm, h = w * (double)(card->rows - 1) / (double)(card->cols - 1);
  const double mm[8] = {0, 0, w, 0, w, h, 0, h};
  out->card = true;
  return dw_homography_fit(reading->corners.xy, mm, &out->map, NULL) == DW_OK;
}

static double distance_mm(const ruler *r, double ax, double ay, double bx, double by) {
  double u, v, s, t;
  if (!r->card) return r->mm * hypot(bx - ax, by - ay);
  dw_homography_at(&r->map, ax, ay, &u, &v);
  dw_homography_at(&r->map, bx, by, &s, &t);
  return hypot(s - u, t - v);
}

/* The stations' polyline in mm, and in pixels: the body is that much longer than its length in pixels says. */
static double length_of(const ruler *r, const dw_bait *bait) {
  double mm = 0, pixels = 0;
  for (size_t i = 1; i < DW_BAIT_STATIONS; i++) {
    const dw_bait_station *a = &bait->station[i - 1], *b = &bait->station[i];
    mm += distance_mm(r, a->x, a->y, b->x, b->y);
    pixels += hypot(b->x - a->x, b->y - a->y);
  }
  return pixels > 0 ? bait->length * mm / pixels : NAN;
}

/* At every station; returns the most. */
static double heights_of(const ruler *r, const dw_bait *bait, double out[DW_BAIT_STATIONS]) {
  double most = 0;
  for (size_t i = 0; i < DW_BAIT_STATIONS; i++) {
    const dw_bait_station *s = &bait->station[i];
    out[i] = distance_mm(r, s->back_x, s->back_y, s->belly_x, s->belly_y);
    most = fmax(most, out[i]);
  }
  return most;
}

static bool bait_ruler(const dw_bait *bait, double height_mm, ruler *out) {
  double pixels[DW_BAIT_STATIONS];
  *out = (ruler){.mm = 1};
  out->mm = height_mm / heights_of(out, bait, pixels);
  return height_mm > 0 && isfinite(out->mm);
}

bool dw_bait_size_get(const dw_found *found, const dw_find_wish *wish, const dw_bait *bait,
                      dw_bait_size *out) {
  ruler r;
  double height[DW_BAIT_STATIONS];
  if (!wish || !(bait_ruler(bait, wish->bait_mm, &r) || card_ruler(&found->reading, wish->card_mm, &r)))
    return false;
  *out = (dw_bait_size){.length_mm = length_of(&r, bait), .height_mm = heights_of(&r, bait, height)};
  const double usual = dw_median(height, DW_BAIT_STATIONS);
  for (size_t k = 0; k + 1 < bait->n; k++) out->blend_mm[k] = usual * bait->blend[k].width_share;
  return true;
}
