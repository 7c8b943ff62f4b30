/* A board as the camera sees it, pixel by pixel, and what is true there. */
#include "boards.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Points along a bait's axis, and squares of the board, to pass over it quickly where it is far. */
enum { KNOTS = 9, SQUARES = 160 };
typedef struct drawer {
  const board *b;
  camera camera;
  double knot[BOARD_BAITS_MAX][KNOTS][2], reach[BOARD_BAITS_MAX];
  uint32_t near[SQUARES][SQUARES]; /* a bit a bait; beyond the frame as at its edge */
  double square;
} drawer;

static void knots_make(drawer *d) {
  for (int i = 0; i < d->b->n; i++) {
    const body *p = &d->b->bait[i];
    double arm = 0, half = 0;
    for (int k = 0; k < p->limbs; k++) arm = fmax(arm, p->limb[k].length + fabs(p->limb[k].bow));
    for (int k = 0; k < BODY_RADII; k++) half = fmax(half, p->half[k]);
    d->reach[i] = half + arm + 10 + .5 * p->length / (KNOTS - 1);
    for (int k = 0; k < KNOTS; k++)
      body_place(p, p->length * k / (KNOTS - 1), 0, &d->knot[i][k][0], &d->knot[i][k][1]);
  }
}

static bool is_around(const drawer *d, int bait, double x, double y) {
  double most = d->reach[bait] * d->reach[bait];
  for (int k = 0; k < KNOTS; k++) {
    double dx = x - d->knot[bait][k][0], dy = y - d->knot[bait][k][1];
    if (dx * dx + dy * dy < most) return true;
  }
  return false;
}

/* Whether a bait, or its shadow if it lay there, may reach a square. */
static void squares_make(drawer *d) {
  const board *b = d->b;
  d->square = fmax(b->width, b->height) * b->mm * 1.3 / SQUARES;
  double margin = 1.3 * (b->shadow[2] + 2 + d->square);
  for (int v = 0; v < SQUARES; v++)
    for (int u = 0; u < SQUARES; u++) {
      double x = (u - .12 * SQUARES + .5) * d->square, y = (v - .12 * SQUARES + .5) * d->square;
      for (int i = 0; i < b->n; i++)
        if (is_around(d, i, x, y) && body_at(&b->bait[i], x, y).inside > -margin) d->near[v][u] |= 1u << i;
    }
}

static bool is_near(const drawer *d, int bait, double x, double y) {
  int u = (int)floor(x / d->square + .12 * SQUARES), v = (int)floor(y / d->square + .12 * SQUARES);
  u = u < 0 ? 0 : u >= SQUARES ? SQUARES - 1 : u, v = v < 0 ? 0 : v >= SQUARES ? SQUARES - 1 : v;
  return d->near[v][u] >> bait & 1;
}

static spectrum mix(const spectrum *p, const spectrum *q, double share) {
  spectrum s;
  for (int i = 0; i < BANDS; i++) s.v[i] = p->v[i] * (1 - share) + q->v[i] * share;
  return s;
}

/* Pixels to the board: a slight lean of the camera. */
static void to_board(const board *b, double px, double py, double *x, double *y) {
  double u = px / b->width - .5, v = (py - .5 * b->height) / b->width,
         w = 1 + b->lean[0] * u + b->lean[1] * v;
  *x = (u / w + .5) * b->width * b->mm;
  *y = (v / w) * b->width * b->mm + .5 * b->height * b->mm;
}

static void to_photo(const board *b, double x, double y, double *px, double *py) {
  double full = b->width * b->mm, p = x / full - .5, q = (y - .5 * b->height * b->mm) / full;
  double w = 1 / (1 - b->lean[0] * p - b->lean[1] * q);
  *px = (p * w + .5) * b->width;
  *py = q * w * b->width + .5 * b->height;
}

static void card_place(const board *b, double u, double v, double *x, double *y) {
  *x = b->card[0] + cos(b->card[2]) * u - sin(b->card[2]) * v;
  *y = b->card[1] + sin(b->card[2]) * u + cos(b->card[2]) * v;
}

void board_card_corners(const board *b, double xy[8]) {
  static const double at[4][2] = {{-2.5, -1.5}, {2.5, -1.5}, {2.5, 1.5}, {-2.5, 1.5}};
  for (int i = 0; i < 4; i++) {
    double x, y;
    card_place(b, at[i][0] * b->card[3], at[i][1] * b->card[3], &x, &y);
    to_photo(b, x, y, &xy[2 * i], &xy[2 * i + 1]);
    xy[2 * i] -= .5, xy[2 * i + 1] -= .5; /* a pixel's center is at whole coordinates */
  }
}

/* Thin pale lines every 10 mm, broader ones every 50. */
static spectrum lined(const spectrum *mat, double x, double y) {
  spectrum line = spectrum_flat(.30);
  double over = 0;
  for (int axis = 0; axis < 2; axis++) {
    double v = axis ? y : x, fine = fabs(v / 10 - round(v / 10)) * 10,
           broad = fabs(v / 50 - round(v / 50)) * 50;
    over = fmax(over, fmax(.5 * (1 - step_smooth(.1, .25, fine)), .8 * (1 - step_smooth(.2, .4, broad))));
  }
  return mix(mat, &line, over);
}

static spectrum ground_at(const board *b, double x, double y) {
  double t = 1 + b->texture * (noise_layered(x / 20, y / 20, b->seed) +
                               .8 * noise_smooth(x / .6, y / .6, b->seed + 4));
  if (b->color == BOARD_WOODEN) {
    double bow = y + 5 * noise_smooth(x / 90, y / 60, b->seed);
    t += .05 * noise_smooth(.5, bow / 6.5, b->seed + 1) + .03 * noise_smooth(x / 5, bow / .4, b->seed + 3);
  }
  spectrum s;
  for (int i = 0; i < BANDS; i++) s.v[i] = t * b->paint.v[i];
  if (b->color == BOARD_MAT) s = lined(&s, x, y);
  if (b->strips) {
    double from = x - b->edge[0] - b->edge[1] * (y - .5 * b->height * b->mm);
    s = spectrum_flat(t * (from < 0 ? STRIP_BLACK : STRIP_WHITE));
  }
  return s;
}

/* True when the card covers the place. */
static bool card_at(const board *b, double x, double y, spectrum *out) {
  if (!b->has_card) return false;
  double dx = x - b->card[0], dy = y - b->card[1], c = cos(b->card[2]), n = sin(b->card[2]),
         pitch = b->card[3];
  double u = (c * dx + n * dy) / pitch, v = (-n * dx + c * dy) / pitch;
  if (fabs(u) > 3.35 || fabs(v) > 2.35) return false;
  *out = spectrum_flat(b->seed % 3 ? .038 : .75);
  int col = (int)floor(u + 3), row = (int)floor(v + 2);
  if (col < 0 || col > 5 || row < 0 || row > 3) return true;
  if (fabs(u - col + 2.5) > .44 || fabs(v - row + 1.5) > .44) return true;
  for (int i = 0; i < BANDS; i++) out->v[i] = card_patch[row * 6 + col][i];
  return true;
}

static double shadow_at(const drawer *d, double x, double y) {
  const board *b = d->b;
  double left = 1;
  for (int i = 0; i < b->n; i++) {
    double sx = x - b->shadow[0], sy = y - b->shadow[1], nx = x - .1 * b->shadow[0],
           ny = y - .1 * b->shadow[1];
    if (is_near(d, i, sx, sy))
      left = fmin(left, 1 - b->shadow[3] * step_smooth(-b->shadow[2], .8 * b->shadow[2],
                                                       body_at(&b->bait[i], sx, sy).inside));
    if (is_near(d, i, nx, ny)) left *= 1 - .22 * step_smooth(-1.6, .3, body_at(&b->bait[i], nx, ny).inside);
  }
  return left;
}

/* One speck per cell of a loose grid, at most; true under one. */
static bool flake_at(const body *b, double x, double y, spectrum *color) {
  const double size = b->speck > 0 ? b->speck : 1, cell = 1.2 * size;
  int cx = (int)floor(x / cell), cy = (int)floor(y / cell);
  if (hash_unit(cx, cy, b->seed + 31) > b->flake * 1.44 / .28) return false;
  double radius = size * (.16 + .2 * hash_unit(cx, cy, b->seed + 34));
  double dx = x - (cx + .3 + .4 * hash_unit(cx, cy, b->seed + 32)) * cell,
         dy = y - (cy + .3 + .4 * hash_unit(cx, cy, b->seed + 33)) * cell;
  if (fmax(fabs(dx), fabs(dx * .5 + dy * .87)) > radius) return false;
  double sort = hash_unit(cx, cy, b->seed + 36);
  *color = spectrum_flat(sort < .5 ? .02 : sort < .75 ? .8 : .35);
  if (sort >= .75)
    for (int i = 0; i < BANDS; i++) color->v[i] *= 1 - .7 * falling(band_nm(i), 570, 16);
  return true;
}

/* Mirror light as a share of white; *shade is the diffuse light against that on the flat board. */
static double gloss_at(const body *b, double x, double y, const body_point *at, double *shade) {
  const double step = .12;
  double dx = .55 * (body_at(b, x + step, y).thickness - at->thickness) / step;
  double dy = .55 * (body_at(b, x, y + step).thickness - at->thickness) / step;
  dx += .06 * noise_layered(x / 3.1, y / 2.3, b->seed + 11);
  dy += .06 * noise_layered(x / 2.7, y / 3.3, b->seed + 12);
  double n = sqrt(dx * dx + dy * dy + 1), window = (.30 * dx + .46 * dy + .84) / (n * .9995 * 1.0);
  double form = b->round > 0 ? b->round : .34;
  *shade = 1 - form + form * fmax(window, 0) / .84;
  double w = (.155 * dx + .26 * dy + 1) / (n * 1.045), l = (-.2 * dx + .1 * dy + 1) / (n * 1.025);
  double streak = 0;
  if (b->streak[2] > 0 && at->body > 0)
    streak = b->streak[2] * exp(-pow((at->across - b->streak[0]) / b->streak[1], 2)) *
             fmax(.6 + noise_layered(at->along * 9, .4, b->seed + 43), 0);
  return streak + b->gloss * (.6 * pow(fmax(fmin(w, 1), 0), 900) + .10 * pow(fmax(fmin(w, 1), 0), 160) +
                              .5 * pow(fmax(fmin(l, 1), 0), 2600));
}

/* The layers' mixture as it is seen: mixed in K and S as plastic, or in reflectance as light. */
static spectrum layers_seen(const body *b, const double weight[LAYERS_MAX], double thickness,
                            const spectrum *under) {
  plastic p = {0};
  spectrum seen = {{0}};
  for (int k = 0; k < b->layers; k++)
    for (int i = 0; i < BANDS; i++) {
      p.k.v[i] += weight[k] * b->layer[k].k.v[i];
      p.s.v[i] += weight[k] * b->layer[k].s.v[i];
    }
  if (!b->optical) return plastic_seen(&p, thickness, under);
  for (int k = 0; k < b->layers; k++) {
    if (weight[k] <= 0) continue;
    spectrum own = plastic_seen(&b->layer[k], thickness, under);
    for (int i = 0; i < BANDS; i++) seen.v[i] += weight[k] * own.v[i];
  }
  return seen;
}

static void body_paint(const body *b, double x, double y, const body_point *at, const spectrum *under,
                       double mm, spectrum *out, double *mirror) {
  double weight[LAYERS_MAX], shade;
  body_weights(b, at->along, at->across, weight);
  spectrum seen = layers_seen(b, weight, at->thickness, under), speck;
  if (flake_at(b, x, y, &speck)) seen = mix(&seen, &speck, .85);
  double shine = gloss_at(b, x, y, at, &shade);
  for (int i = 0; i < BANDS; i++) seen.v[i] *= shade;
  double cover = fmin(fmax(at->inside / mm + .5, 0), 1);
  *out = mix(out, &seen, cover);
  *mirror = shine * cover;
}

/* The drop that is thickest there, a little mixed with another where they run into each other. */
static void drops_paint(const board *b, double x, double y, const spectrum *under, spectrum *out,
                        double *mirror) {
  double depth = 0, all = 0, shine = 0;
  plastic p = {0};
  for (int i = 0; i < b->drops; i++) depth = fmax(depth, drop_depth(&b->drop[i], x, y));
  if (!(depth > 0)) return;
  for (int k = 0; k < b->drops; k++) {
    const table_drop *d = &b->drop[k];
    double own = drop_depth(d, x, y), weight = own > 0 ? exp((own - depth) / .1) : 0;
    if (!(weight > 1e-3)) continue;
    const double step = .2;
    double dx = (drop_depth(d, x + step, y) - own) / step + .03 * noise_layered(x / 5, y / 4, d->seed),
           dy = (drop_depth(d, x, y + step) - own) / step + .03 * noise_layered(x / 4, y / 5, d->seed + 1);
    double w = (.155 * dx + .26 * dy + 1) / (sqrt(dx * dx + dy * dy + 1) * 1.045);
    shine += weight * d->gloss * (.8 * pow(fmax(fmin(w, 1), 0), 1400) + .08 * pow(fmax(fmin(w, 1), 0), 160));
    for (int i = 0; i < BANDS; i++) p.k.v[i] += weight * d->of.k.v[i], p.s.v[i] += weight * d->of.s.v[i];
    all += weight;
  }
  for (int i = 0; i < BANDS; i++) p.k.v[i] /= all, p.s.v[i] /= all;
  *out = plastic_seen(&p, depth, under);
  *mirror = shine / all;
}

static void bar_paint(const bar *r, double x, double y, const spectrum *under, spectrum *out) {
  double ex = r->x1 - r->x0, ey = r->y1 - r->y0,
         u = ((x - r->x0) * ex + (y - r->y0) * ey) / (ex * ex + ey * ey);
  u = fmin(fmax(u, 0), 1);
  double away = hypot(x - r->x0 - u * ex, y - r->y0 - u * ey) / r->radius;
  if (away < 1) *out = plastic_seen(&r->of, 2 * r->radius * sqrt(1 - away * away), under);
}

static int owner_at(const drawer *d, double x, double y, body_point *best) {
  int owner = -1;
  best->inside = -.5 * d->b->mm;
  for (int i = 0; i < d->b->n; i++) {
    if (!is_near(d, i, x, y)) continue;
    body_point at = body_at(&d->b->bait[i], x, y);
    if (at.inside <= best->inside) continue;
    *best = at;
    owner = i;
  }
  return owner;
}

static void truth_note(const drawer *d, int owner, const body_point *at, size_t i, board_truth *truth) {
  double weight[LAYERS_MAX];
  truth->along[i] = -1;
  if (owner < 0 || at->inside <= 0) return;
  truth->bait[i] = (uint8_t)(owner + 1);
  if (at->body <= 0) return;
  truth->along[i] = (float)at->along;
  truth->across[i] = (float)at->across;
  body_weights(&d->b->bait[owner], at->along, at->across, weight);
  for (int k = 0; k < d->b->bait[owner].layers; k++)
    if ((float)weight[k] > truth->share[i])
      truth->layer[i] = (uint8_t)(k + 1), truth->share[i] = (float)weight[k];
}

/* The light at a place of the board against that at its middle, for each of the camera's channels. */
static void light_at(const board *b, int px, int py, double x, double y, double light[3]) {
  double u = (px + .5) / b->width - .5, v = (py + .5) / b->height - .5, corner = 2 * (u * u + v * v);
  double all = (1 + 2 * (b->slope[0] * u + b->slope[1] * v)) * (1 - b->vignette * corner), cast = 0;
  if (b->cast[3] > 0)
    cast = b->cast[3] *
           step_smooth(-b->cast[2], b->cast[2], cos(b->cast[0]) * x + sin(b->cast[0]) * y - b->cast[1]);
  for (int k = 0; k < 3; k++)
    light[k] =
        all * (1 + (1 - k) * (b->tint[0] * u + b->tint[1] * v)) * (1 - cast * (1 + (1 - k) * b->cast[4]));
}

static void pixel_draw(const drawer *d, int px, int py, float *signal, board_truth *truth) {
  const board *b = d->b;
  double x, y, mirror = 0, rgb[3];
  to_board(b, px + .5, py + .5, &x, &y);
  spectrum bare = ground_at(b, x, y), seen = bare;
  body_point at;
  int owner = owner_at(d, x, y, &at);
  if (owner < 0 || at.inside < .5 * b->mm) {
    double left = shadow_at(d, x, y);
    for (int i = 0; i < BANDS; i++) seen.v[i] *= left;
  }
  for (int i = 0; i < b->bars; i++) bar_paint(&b->bar[i], x, y, &bare, &seen);
  for (int i = 0; i < b->chips; i++)
    if (fabs(x - b->chip[i].x) < b->chip[i].half && fabs(y - b->chip[i].y) < b->chip[i].half)
      seen = plastic_seen(&b->chip[i].of, CHIP_MM, &bare);
  drops_paint(b, x, y, &bare, &seen, &mirror);
  card_at(b, x, y, &seen);
  if (owner >= 0) body_paint(&b->bait[owner], x, y, &at, &bare, b->mm, &seen, &mirror);
  double light[3];
  light_at(b, px, py, x, y, light);
  camera_signal(&d->camera, &seen, rgb);
  for (int k = 0; k < 3; k++) signal[k] = (float)(light[k] * (rgb[k] + mirror * d->camera.white[k]));
  truth_note(d, owner, &at, (size_t)py * (size_t)b->width + (size_t)px, truth);
}

void board_truth_free(board_truth *truth) {
  free(truth->bait);
  free(truth->layer);
  free(truth->share);
  free(truth->along);
  free(truth->across);
  *truth = (board_truth){0};
}

int board_render(const board *b, uint8_t *rgb, board_truth *truth) {
  size_t n = (size_t)b->width * (size_t)b->height;
  float *signal = malloc(3 * n * sizeof *signal);
  *truth = (board_truth){calloc(n, 1), calloc(n, 1), calloc(n, sizeof(float)), calloc(n, sizeof(float)),
                         calloc(n, sizeof(float))};
  static drawer d;
  d = (drawer){.b = b, .camera = camera_make(b->light, b->balance_share, b->exposure, b->electrons)};
  if (b->blur > 0) d.camera.blur = b->blur, d.camera.sharpen = b->sharpen;
  int failed = !signal || !truth->bait || !truth->layer || !truth->share || !truth->along || !truth->across;
  knots_make(&d);
  squares_make(&d);
  for (int y = 0; y < b->height && !failed; y++)
    for (int x = 0; x < b->width; x++)
      pixel_draw(&d, x, y, signal + 3 * ((size_t)y * (size_t)b->width + (size_t)x), truth);
  if (!failed) failed = camera_develop(&d.camera, signal, b->width, b->height, b->seed, rgb);
  free(signal);
  return failed;
}
