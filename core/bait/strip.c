#include "bait/strip.h"

#include "bait/gloss.h"
#include "dropwise/numeric.h"

#include <math.h>
#include <string.h>

enum { ACROSS = DW_BAIT_PROFILE };

/* The photo's pixels across one station. */
static void station_take(const dw__view *view, const dw_patch *photo, const dw__station *s,
                         float rgb[ACROSS][3], float x[ACROSS], float y[ACROSS]) {
  int step = dw_patch_step(photo);
  for (int j = 0; j < ACROSS; j++) {
    double off = -s->back + (s->back + s->belly) * (j + .5) / ACROSS;
    double px, py;
    dw__view_in_photo(view, s->x + off * s->nx, s->y + off * s->ny, &px, &py);
    dw_photo_in_patch(photo, px, py, &px, &py);
    int column = (int)fmin(fmax(round(px), 0), photo->rect.w - 1),
        row = (int)fmin(fmax(round(py), 0), photo->rect.h - 1);
    dw_patch_pixel(photo, (size_t)row * (size_t)photo->rect.w + (size_t)column, rgb[j]);
    x[j] = (float)(photo->rect.x + step * column);
    y[j] = (float)(photo->rect.y + step * row);
  }
}

/* Medians of stations from..to at one place across. */
static void median_at(const dw__strip *s, size_t from, size_t to, size_t j, double out[3], double *noise) {
  double v[DW__AXIS_STATIONS], deviation[3];
  size_t n = to - from;
  for (size_t k = 0; k < 3; k++) {
    for (size_t i = 0; i < n; i++) v[i] = (double)s->lab[from + i][j][k];
    out[k] = dw_median(v, n);
    if (noise) deviation[k] = dw_mad_sigma(v, n, out[k]);
  }
  if (!noise) return;
  const float at[3] = {(float)out[0], (float)out[1], (float)out[2]};
  float weight[2];
  dw__search_weights(at, weight);
  /* -fanalyzer: the loop above has set all three */
  double sum = pow((double)weight[0] * deviation[0], 2) +
               pow((double)weight[1], 2) * (pow(deviation[1], 2) + pow(deviation[2], 2));
  *noise = sqrt(sum / 3) * 1.2533 / sqrt((double)n / 2); /* of a median, of pixels that are not independent */
}

static void profiles_make(dw__strip *out) {
  for (size_t j = 0; j < ACROSS; j++) {
    median_at(out, 0, out->n, j, out->profile[j], &out->noise[j]);
    for (size_t w = 0; w < DW__WINDOWS; w++)
      median_at(out, w * out->n / DW__WINDOWS, (w + 1) * out->n / DW__WINDOWS, j, out->window[w][j], NULL);
  }
  /* A lamp mirrored in the body runs all along it: without a lobe in the whole there is none to look for in its parts. */
  const bool lobes = dw__lobes_remove(out->profile, out->noise);
  dw__streaks_remove(out->profile, out->noise);
  for (size_t w = 0; w < DW__WINDOWS; w++) {
    if (lobes) dw__lobes_remove(out->window[w], NULL);
    dw__streaks_remove(out->window[w], NULL);
  }
}

double dw__offset_at(const double (*offset)[DW_BAIT_LAYERS_MAX - 1], size_t border, double share) {
  double w = fmin(fmax(share * DW__WINDOWS - .5, 0), DW__WINDOWS - 1);
  size_t k = (size_t)fmin(w, DW__WINDOWS - 2);
  return offset[k][border] + (w - (double)k) * (offset[k + 1][border] - offset[k][border]);
}

/* What lies at t where the borders do not run straight: by how far each is off. */
static double stretched(size_t borders, const double *place, const double *off, double t) {
  double t0 = 0, off0 = 0;
  for (size_t k = 0; k <= borders; k++) {
    double t1 = k < borders ? place[k] : 1, off1 = k < borders ? off[k] : 0;
    if (t <= t1) return off0 + (off1 - off0) * (t - t0) / fmax(t1 - t0, 1e-6);
    t0 = t1, off0 = off1;
  }
  return 0;
}

double dw__strip_moved(const dw__strip *strip, size_t window, double place) {
  return stretched(strip->straight, strip->place, strip->moved[window], place);
}

void dw__strip_straighten(dw__strip *strip, size_t borders, const double *place,
                          double (*moved)[DW_BAIT_LAYERS_MAX - 1]) {
  strip->straight = borders;
  memcpy(strip->place, place, borders * sizeof *place);
  memcpy(strip->moved, moved, sizeof strip->moved);
  for (size_t i = 0; i < strip->n; i++) {
    float from[ACROSS][3];
    double off[DW_BAIT_LAYERS_MAX - 1];
    memcpy(from, strip->lab[i], sizeof from);
    for (size_t k = 0; k < borders; k++)
      off[k] = dw__offset_at((const double(*)[DW_BAIT_LAYERS_MAX - 1]) moved, k,
                             ((double)i + .5) / (double)strip->n);
    for (size_t j = 0; j < ACROSS; j++) {
      double t = ((double)j + .5) / ACROSS, at = (t + stretched(borders, place, off, t)) * ACROSS - .5;
      size_t low = (size_t)fmin(fmax(at, 0), ACROSS - 2);
      float part = (float)fmin(fmax(at - (double)low, 0), 1);
      for (int k = 0; k < 3; k++)
        strip->lab[i][j][k] = from[low][k] + part * (from[low + 1][k] - from[low][k]);
    }
  }
  profiles_make(strip);
}

dw_lab dw__lab_by_light(const dw_light *light, dw_lab seen) {
  double rgb[3];
  dw_linear_from_xyz(dw_xyz_from_lab(seen), rgb);
  return dw_light_lab(light, rgb);
}

static void board_around(const dw__view *view, const dw__axis *axis, const dw_light *light, dw__strip *out) {
  const dw__station *s = &axis->at[DW__AXIS_STATIONS / 2];
  int x = (int)fmin(fmax(s->x, 0), view->w - 1), y = (int)fmin(fmax(s->y, 0), view->h - 1);
  float lab[3];
  dw__view_board(view, x, y, lab);
  dw_lab by_light = dw__lab_by_light(light, (dw_lab){(double)lab[0], (double)lab[1], (double)lab[2]});
  out->board[0] = by_light.L, out->board[1] = by_light.a, out->board[2] = by_light.b;
}

dw_status dw__strip_make(const dw__view *view, const dw_patch *photo, const dw__axis *axis,
                         const dw_light *light, dw__strip *out, dw_error *err) {
  float x[ACROSS], y[ACROSS];
  *out = (dw__strip){.n = axis->last - axis->first + 1};
  out->lab = dw_arena_take(view->arena, out->n, sizeof *out->lab);
  if (!out->lab) return dw_fail_memory(err, "a bait's pixels");
  for (size_t i = 0; i < out->n; i++) {
    station_take(view, photo, &axis->at[axis->first + i], out->lab[i], x, y);
    dw_light_xyz(light, &out->lab[i][0][0], x, y, ACROSS, &out->lab[i][0][0]);
    dw_lab_from_xyz_rows(&out->lab[i][0][0], ACROSS, &out->lab[i][0][0]);
  }
  profiles_make(out);
  board_around(view, axis, light, out);
  return DW_OK;
}
