/* What a person should know about a reading. */
#include "dropwise/numeric.h"
#include "region/parts.h"

#include <math.h>
#include <stdlib.h>

enum { SMALL_PIXELS = 200, SQUARE_MIN = 3, SQUARE_MAX = 16 };

#define MUCH_GLOSS 0.30
#define MUCH_SHADOW 0.20
#define MUCH_CLIPPED 0.05
/* A second color: this share of the area, at least this far off, and three times closer to itself. */
#define SECOND_SHARE 0.15
#define SECOND_DE00 4.0
#define SECOND_COMPACT (1.0 / 3)
#define MUCH_DRIFT 5.0
/* L* units beyond the card's ends. A dark bait is nothing unusual, one lighter than white is. */
#define MUCH_DARKER 5.0
#define MUCH_LIGHTER 2.0
/* A color lighter than a surface can be is questioned from so many of its doubts on. */
#define SHINES_TIMES 2.0

/* Mean color of a square of which nearly all was set aside (gloss, flake or shadow); false for others. */
static bool square_foreign(const dw__measuring *work, size_t side, size_t column, size_t row, float rgb[3],
                           size_t *aside) {
  size_t inside = 0;
  *aside = 0;
  rgb[0] = rgb[1] = rgb[2] = 0;
  for (size_t y = row * side; y < (row + 1) * side && y < work->h; y++)
    for (size_t x = column * side; x < (column + 1) * side && x < work->w; x++) {
      size_t i = y * work->w + x;
      dw_pixel_class cls = dw__class_of(work->cls[i]);
      inside += cls != DW_PIXEL_OUTSIDE;
      if (cls != DW_PIXEL_GLOSS && cls != DW_PIXEL_FLAKE && cls != DW_PIXEL_SHADOW) continue;
      for (size_t k = 0; k < 3; k++) rgb[k] += work->patch->rgb[3 * i + k];
      (*aside)++;
    }
  for (size_t k = 0; k < 3 && *aside; k++) rgb[k] /= (float)*aside;
  return *aside > 0 && 10 * *aside >= 8 * inside;
}

/* Distance of the squares' middle color from the body, and of the squares from their middle.
 * rgb, x, y  of the squares; channel n more */
static void second_judge(const dw__measuring *work, float *rgb, const float *x, const float *y,
                         float *channel, size_t n, dw_lab body, double *between, double *within) {
  float middle[3];
  dw_light_xyz(work->light, rgb, x, y, n, rgb);
  dw_lab_from_xyz_rows(rgb, n, rgb);
  for (size_t k = 0; k < 3; k++) {
    for (size_t i = 0; i < n; i++) channel[i] = rgb[3 * i + k];
    middle[k] = dw_median_f(channel, n);
  }
  /* -fanalyzer: the loop above has set all three */
  dw_lab at = {(double)middle[0], (double)middle[1], (double)middle[2]};
  for (size_t i = 0; i < n; i++)
    channel[i] =
        (float)dw_de00(at, (dw_lab){(double)rgb[3 * i], (double)rgb[3 * i + 1], (double)rgb[3 * i + 2]});
  *within = (double)dw_median_f(channel, n);
  *between = dw_de00(at, body);
}

/* Gloss and flake come in specks and fade; another layer is a wide area of one color. */
static dw_status second_color(const dw__measuring *work, dw_lab body, bool *out, dw_error *err) {
  size_t side = (size_t)sqrt((double)work->inside / 100), n = 0, covered = 0;
  side = side < SQUARE_MIN ? SQUARE_MIN : side > SQUARE_MAX ? SQUARE_MAX : side;
  size_t columns = (work->w + side - 1) / side, rows = (work->h + side - 1) / side;
  float *rgb = malloc(columns * rows * 6 * sizeof *rgb);
  *out = false;
  if (!rgb) return dw_fail_memory(err, "the averages of the marked area");
  float *x = rgb + 3 * columns * rows, *y = x + columns * rows;
  for (size_t row = 0; row < rows; row++) {
    dw__run touched = dw__columns_touched(work, side, row * side, (row + 1) * side);
    for (size_t column = touched.first; column < touched.end; column++) {
      size_t aside;
      if (!square_foreign(work, side, column, row, rgb + 3 * n, &aside)) continue;
      covered += aside;
      dw__place_of(work, ((float)column + 0.5f) * (float)side, ((float)row + 0.5f) * (float)side, &x[n],
                   &y[n]);
      n++;
    }
  }
  if ((double)covered >= SECOND_SHARE * (double)work->inside) {
    double between, within;
    second_judge(work, rgb, x, y, y + columns * rows, n, body, &between, &within);
    *out = between >= SECOND_DE00 && within <= SECOND_COMPACT * between;
  }
  free(rgb);
  return DW_OK;
}

/* Share of kept pixels with a channel at 0: the color may be more saturated than the photo can hold. */
static double low_share(const dw__measuring *work) {
  size_t low = 0, kept = 0;
  for (size_t y = 0; y < work->h; y++)
    for (size_t i = work->run[y].first; i < work->run[y].end; i++) {
      if (dw__class_of(work->cls[i]) != DW_PIXEL_KEPT) continue;
      kept++;
      low += (work->patch->clip[i] & DW_CLIP_LOW) != 0;
    }
  return kept ? (double)low / (double)kept : 0;
}

static void shares_note(const dw__measuring *work, dw_reading *r) {
  dw_notes *notes = &r->notes;
  size_t kept = dw__pixels_count(work, DW_PIXEL_KEPT);
  double low = low_share(work);
  if (kept < SMALL_PIXELS)
    dw_note(notes, "Only %zu pixels show the plastic itself: mark a larger area for a surer color.", kept);
  if (r->shares.gloss > MUCH_GLOSS)
    dw_note(notes, "%.0f%% of the area is gloss: turn the bait or the lamp, or use softer light.",
            100 * r->shares.gloss);
  if (r->shares.shadow > MUCH_SHADOW)
    dw_note(notes, "%.0f%% of the area is in shadow: mark the evenly lit part.", 100 * r->shares.shadow);
  if (r->shares.clipped > MUCH_CLIPPED)
    dw_note(notes, "%.0f%% of the area is clipped: photograph it again with less exposure.",
            100 * r->shares.clipped);
  if (low > MUCH_CLIPPED)
    dw_note(notes,
            "%.0f%% of the plastic's pixels have a color channel at 0: the color may be more saturated than "
            "this photo can hold.",
            100 * low);
}

/* Lighter than any reflectance makes it, beyond the reading's doubt. */
static bool shines(const dw_reading *r, dw_lab *most) {
  *most = dw_surface_lightest(r->lab);
  return r->lab.L > most->L && dw_de00(r->lab, *most) > SHINES_TIMES * r->uncertainty_de00;
}

static void beyond_note(const dw__measuring *work, dw_reading *r) {
  double beyond = dw_light_beyond(work->light, r->lab.L);
  dw_lab most;
  if (beyond < -MUCH_DARKER)
    dw_note(&r->notes, "This is darker than the card's darkest patch: how dark is partly a guess.");
  dw_light_method method = dw_light_info_get(work->light)->method;
  if (shines(r, &most))
    dw_note(&r->notes,
            "Nothing that only reflects is lighter than L* %.0f in this color: a fluorescent colorant (its "
            "color turns "
            "with the light), glare, or %s.",
            most.L,
            method == DW_LIGHT_NONE   ? "too light a photo"
            : method == DW_LIGHT_GRAY ? "more light on it than on the gray"
                                      : "more light on it than on the card");
  else if (beyond > MUCH_LIGHTER)
    dw_note(&r->notes, "This is lighter than the card's white: how light is partly a guess.");
}

dw_status dw__notes_write(const dw__measuring *work, const dw__parts *parts, dw_reading *reading,
                          dw_error *err) {
  bool second;
  dw_status status = second_color(work, reading->lab, &second, err);
  if (status != DW_OK) return status;
  double drift = dw__parts_drift(parts);
  if (second) dw_note(&reading->notes, "The region seems to hold two colors: mark the layers apart.");
  if (drift > MUCH_DRIFT)
    dw_note(&reading->notes,
            "The color changes by %.1f across the area: mark a smaller one, away from the next layer.",
            drift);
  beyond_note(work, reading);
  shares_note(work, reading);
  return DW_OK;
}
