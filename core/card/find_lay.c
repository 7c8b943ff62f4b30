/* The card laid on a lattice: every way round and every place, judged by the colors that show there.
 *
 * A camera and a lamp bend colors, but much alike all over a card: gains and mixtures of channels take most
 * of it. So the picture's values are fitted to the card's by an affine map in encoded values, and what
 * counts is the share of the card's variance that the map explains. A wrong place or turn leaves most of
 * it unexplained. */
#include "card/find.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Patches under glare, hands or dirt that are left out of the second look, one in so many. */
enum { SPARE_ONE_IN = 12, SAMPLES = 3, CHANNELS = 3 };
/* Half the side of the looked at square, in cells, as for the patches themselves (place.h). */
#define LOOKED_HALF 0.2
/* What noise alone leaves of differences between patches, encoded: no fit to less. */
#define NOISE 0.012
/* A share of the card's patches that must be in view for one that is cut off to be told. */
#define CUT_SEEN 0.6

typedef struct looker {
  const dw_preview *view;
  const dw_card *card;
  const dw__lattice *lattice;
  double aim[DW_CARD_PATCHES_MAX][CHANNELS];
  double seen[DW_CARD_PATCHES_MAX][CHANNELS];
  double off[DW_CARD_PATCHES_MAX];
  bool used[DW_CARD_PATCHES_MAX];
} looker;

/* A way to lay the card: its column and row directions in cells. */
typedef struct turn {
  int column[2], row[2];
} turn;
static const turn turns[8] = {{{1, 0}, {0, 1}},  {{0, 1}, {-1, 0}},  {{-1, 0}, {0, -1}}, {{0, -1}, {1, 0}},
                              {{-1, 0}, {0, 1}}, {{0, -1}, {-1, 0}}, {{1, 0}, {0, -1}},  {{0, 1}, {1, 0}}};
enum { TURNS_PLAIN = 4 };

dw__lattice_size dw__card_lattice(const dw_card *card) {
  const size_t n = card->rows * card->cols;
  return (dw__lattice_size){.least = (n + 1) / 2, .most = 2 * n, .grown = 3 * n};
}

static void aims_fill(looker *k) {
  for (size_t i = 0; i < k->card->rows * k->card->cols; i++) {
    double rgb[3];
    dw_linear_from_xyz(dw_xyz_from_lab(k->card->lab[i]), rgb);
    for (int c = 0; c < CHANNELS; c++) k->aim[i][c] = dw_srgb_encode(fmin(fmax(rgb[c], 0.0), 1.0));
  }
}

static bool pixel_at(const dw_preview *view, double x, double y, const uint8_t **out) {
  const long px = lround(x), py = lround(y);
  if (!(px >= 0 && py >= 0 && px < view->width && py < view->height)) return false;
  *out = view->rgb + 3 * ((size_t)py * (size_t)view->width + (size_t)px);
  return true;
}

/* Mean of a few pixels in the middle of a cell; false where it is not in the picture. */
static bool cell_look(const looker *k, double i, double j, double out[CHANNELS]) {
  double sum[CHANNELS] = {0};
  for (int s = 0; s < SAMPLES * SAMPLES; s++) {
    const double u = LOOKED_HALF * (2.0 * (s % SAMPLES) / (SAMPLES - 1) - 1.0),
                 v = LOOKED_HALF * (2.0 * (s / SAMPLES) / (SAMPLES - 1) - 1.0);
    const uint8_t *rgb;
    double x, y;
    dw_homography_at(&k->lattice->map, i + u, j + v, &x, &y);
    if (!pixel_at(k->view, x, y, &rgb)) return false;
    for (int c = 0; c < CHANNELS; c++) sum[c] += rgb[c];
  }
  for (int c = 0; c < CHANNELS; c++) out[c] = sum[c] / (255.0 * SAMPLES * SAMPLES);
  return true;
}

/* Sums about the means of the used patches: seen by seen, seen by aim, and aim by itself in all. */
typedef struct moments {
  size_t n;
  double seen[CHANNELS], aim[CHANNELS], square[9], cross[9], whole;
} moments;

static moments moments_of(const looker *k, size_t n) {
  moments m = {0};
  for (size_t i = 0; i < n; i++) {
    if (!k->used[i]) continue;
    m.n++;
    for (int c = 0; c < CHANNELS; c++) {
      m.seen[c] += k->seen[i][c];
      m.aim[c] += k->aim[i][c];
    }
  }
  for (int c = 0; c < CHANNELS; c++) {
    m.seen[c] /= (double)m.n;
    m.aim[c] /= (double)m.n;
  }
  for (size_t i = 0; i < n; i++) {
    if (!k->used[i]) continue;
    for (int a = 0; a < CHANNELS; a++) {
      const double seen = k->seen[i][a] - m.seen[a], aim = k->aim[i][a] - m.aim[a];
      m.whole += aim * aim;
      for (int b = 0; b < CHANNELS; b++) {
        m.square[3 * a + b] += seen * (k->seen[i][b] - m.seen[b]);
        m.cross[3 * a + b] += seen * (k->aim[i][b] - m.aim[b]);
      }
    }
  }
  return m;
}

/* Share of the aims' variance that an affine map of what is seen explains; off: what each patch misses by. */
static double match_fit(looker *k, size_t n) {
  const moments m = moments_of(k, n);
  double factor[9], map[9], left = 0.0;
  memcpy(factor, m.square, sizeof factor);
  memcpy(map, m.cross, sizeof map);
  for (int c = 0; c < CHANNELS; c++) factor[4 * c] += (double)m.n * NOISE * NOISE;
  if (m.whole <= 0.0 || dw_cholesky(factor, CHANNELS, NULL) != DW_OK) return 0.0;
  dw_cholesky_solve(factor, CHANNELS, map, CHANNELS);
  for (size_t i = 0; i < n; i++) {
    k->off[i] = 0.0;
    for (int c = 0; c < CHANNELS; c++) {
      double miss = k->aim[i][c] - m.aim[c];
      for (int a = 0; a < CHANNELS; a++) miss -= (k->seen[i][a] - m.seen[a]) * map[3 * a + c];
      k->off[i] += miss * miss;
    }
    if (k->used[i]) left += k->off[i];
  }
  return 1.0 - left / m.whole;
}

static void worst_leave(looker *k, size_t n) {
  size_t worst = n;
  for (size_t i = 0; i < n; i++)
    if (k->used[i] && (worst == n || k->off[i] > k->off[worst])) worst = i;
  if (worst < n) k->used[worst] = false;
}

/* The match of the patches in view, without the few that miss most. */
static double match_settle(looker *k, size_t n) {
  double match = match_fit(k, n);
  for (size_t spare = n / SPARE_ONE_IN; spare > 0 && match > 0.5 * DW__MATCH_LEAST; spare--) {
    worst_leave(k, n);
    match = match_fit(k, n);
  }
  return match;
}

static void cell_of(const turn *t, const int origin[2], size_t column, size_t row, int out[2]) {
  for (int a = 0; a < 2; a++) out[a] = origin[a] + (int)column * t->column[a] + (int)row * t->row[a];
}

/* Cells of the lattice that the card would cover. */
static size_t cells_covered(const looker *k, const turn *t, const int origin[2]) {
  size_t n = 0;
  for (size_t p = 0; p < k->card->rows * k->card->cols; p++) {
    int at[2];
    cell_of(t, origin, p % k->card->cols, p / k->card->cols, at);
    if (abs(at[0]) > DW__LATTICE_REACH || abs(at[1]) > DW__LATTICE_REACH) continue;
    n += k->lattice->cell[at[1] + DW__LATTICE_REACH][at[0] + DW__LATTICE_REACH] >= 0;
  }
  return n;
}

static void corners_fill(const looker *k, const turn *t, const int origin[2], dw_corners *out) {
  const size_t right = k->card->cols - 1, bottom = k->card->rows - 1;
  const size_t corner[4][2] = {{0, 0}, {right, 0}, {right, bottom}, {0, bottom}};
  for (int c = 0; c < 4; c++) {
    int at[2];
    cell_of(t, origin, corner[c][0], corner[c][1], at);
    dw_homography_at(&k->lattice->map, at[0], at[1], &out->xy[2 * c], &out->xy[2 * c + 1]);
  }
}

/* Keeps the best; layings of nearly the same corners once. */
static void laying_keep(dw__layings *best, const dw__laying *laying) {
  size_t at = best->n;
  for (size_t i = 0; i < best->n; i++) {
    double off = 0.0;
    const double *a = best->laying[i].corners.xy, *b = laying->corners.xy;
    for (int c = 0; c < 8; c++) off = fmax(off, fabs(a[c] - b[c]));
    if (off < 0.05 * hypot(b[4] - b[0], b[5] - b[1])) at = i;
  }
  if (at == best->n) {
    if (best->n == DW__LAYINGS && laying->match <= best->laying[DW__LAYINGS - 1].match) return;
    at = best->n < DW__LAYINGS ? best->n++ : DW__LAYINGS - 1;
  } else if (laying->match <= best->laying[at].match) {
    return;
  }
  for (; at > 0 && best->laying[at - 1].match < laying->match; at--) best->laying[at] = best->laying[at - 1];
  best->laying[at] = *laying;
}

static void laying_try(looker *k, const turn *t, const int origin[2], dw__layings *best) {
  const size_t n = k->card->rows * k->card->cols;
  size_t seen = 0;
  dw__laying laying = {.mirrored = t >= turns + TURNS_PLAIN};
  if (cells_covered(k, t, origin) < dw__card_lattice(k->card).least) return;
  for (size_t p = 0; p < n; p++) {
    int at[2];
    cell_of(t, origin, p % k->card->cols, p / k->card->cols, at);
    k->used[p] = cell_look(k, at[0], at[1], k->seen[p]);
    seen += k->used[p];
    if (!k->used[p]) memset(k->seen[p], 0, sizeof k->seen[p]);
  }
  laying.cut = seen < n;
  if ((double)seen < CUT_SEEN * (double)n) return;
  laying.match = match_settle(k, n);
  if (laying.match < DW__MATCH_LEAST) return;
  corners_fill(k, t, origin, &laying.corners);
  laying_keep(best, &laying);
}

/* First cells from which the card, so turned, reaches into the lattice. */
static void origins_range(const looker *k, const turn *t, int axis, int range[2]) {
  const int end = (int)(k->card->cols - 1) * t->column[axis] + (int)(k->card->rows - 1) * t->row[axis];
  range[0] = k->lattice->low[axis] - (end > 0 ? end : 0);
  range[1] = k->lattice->high[axis] - (end < 0 ? end : 0);
}

void dw__card_lay(const dw_preview *view, const dw_card *card, const dw__lattice *lattice,
                  dw__layings *best) {
  looker k = {.view = view, .card = card, .lattice = lattice};
  aims_fill(&k);
  for (size_t t = 0; t < sizeof turns / sizeof *turns; t++) {
    int i[2], j[2], origin[2];
    origins_range(&k, &turns[t], 0, i);
    origins_range(&k, &turns[t], 1, j);
    for (origin[0] = i[0]; origin[0] <= i[1]; origin[0]++)
      for (origin[1] = j[0]; origin[1] <= j[1]; origin[1]++) laying_try(&k, &turns[t], origin, best);
  }
}
